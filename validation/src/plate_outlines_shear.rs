//! Natural frequencies of shear-deformable isotropic discs with rotary inertia.
//!
//! λ = ω a² √(m/D) with a the radius; ν = 0.3, shear factor 5/6, rotary inertia ρh³/12.

use crate::plate_outlines::{compared, disc};
use crate::{Problem, Row};
use panelwright_solver::plate::PlateModel;
use panelwright_solver::scene::{EdgeCondition, Edges, Panel, PlateSection};

/// Written by `validation/recompute/shear_deformable_disc.py`: edge, thickness over radius, λ.
const RECOMPUTED: &str = include_str!("../recompute/shear_deformable_disc.csv");

/// The problems of this file.
pub(crate) const PROBLEMS: [Problem; 1] = [Problem {
    name: "thick circular plate",
    source: "Roots of the Bessel determinants of R. D. Mindlin & H. Deresiewicz, J. Appl. Phys. 25 (1954) 1329, recomputed \
             (validation/recompute/shear_deformable_disc.py).",
    rows,
}];

fn rows() -> Vec<Row> {
    let cases = [("clamped", EdgeCondition::Clamped, 1e-4), ("free", EdgeCondition::Free, 2e-4)];
    let thicknesses = ["0.02", "0.1", "0.2"];
    cases
        .into_iter()
        .flat_map(|case| thicknesses.map(|thickness| (case, thickness)))
        .flat_map(|((edge, condition, tolerance), thickness)| {
            let expected: Vec<f64> = RECOMPUTED
                .lines()
                .filter_map(|line| line.strip_prefix(&format!("{edge},{thickness},")))
                .map(|value| value.parse().expect("the file holds numbers"))
                .collect();
            let h: f64 = thickness.parse().expect("a number");
            let how = format!("{edge}, h/a = {h}");
            let model = PlateModel::ShearDeformable;
            // The twist of a thin free edge dies away within h/√10, which the box's cosines do not resolve: 0.065 % found, 0.2 % allowed.
            let tolerance = if (edge, h) == ("free", 0.02) { 2e-3 } else { tolerance };
            compared((model, &thick(h, Edges::all(condition))), "disc", &how, &expected, 6.0, tolerance)
        })
        .collect()
}

/// A disc of radius 1 m, D = 1 N·m, 1 kg/m².
fn thick(h: f64, edges: Edges) -> Panel {
    let panel = disc(edges);
    // S = κ G h with G = E/2(1+ν) and E = 12 (1−ν²) D/h³.
    let shear = 5.0 / 6.0 * 6.0 * (1.0 - 0.3) / (h * h);
    let section =
        PlateSection { thickness: h, shear: Some([shear; 2]), rotary_inertia: h * h / 12.0, ..panel.section };
    Panel { section, ..panel }
}
