//! Output map and the panel's own velocity, band by band, with their quiet places.

use crate::report::chart::clip;
use crate::report::chart::heat::{self, Shading};
use crate::report::chart::painted::{self, Painted};
use crate::report::chart::plane::{Plane, Word, view_choice};
use crate::report::chart::scale::extent;
use crate::report::choice::{Choice, When};
use crate::report::figure::{self, Figure};
use crate::report::format::NBSP;
use crate::report::{ReportInput, format};
use maud::{Markup, html};
use panelwright_solver::listening::{BandMap, DeadSpot, OutputMap};
use panelwright_solver::scene::Scene;
use serde_json::Value;

/// Widest range of the colours about the plane’s mean [dB].
const RANGE: (f64, f64) = (-24.0, 12.0);
/// The range ends on multiples of this [dB].
const STEP: f64 = 6.0;
/// Band shown at the start, if it is among the bands [Hz].
const FIRST_BAND: f64 = 1000.0;

/// Spots of a band whose depth is written beside them, the most serious first.
const LABELLED_SPOTS: usize = 6;

/// Name of the rim that clips the map of the panel itself.
const EDGE: &str = "edge-of-panel";

/// One of the two maps.
struct View<'a> {
    key: &'static str,
    group: &'static str,
    title: String,
    unit: &'static str,
    /// True where the plane is the panel's own face.
    on_panel: bool,
    map: &'a OutputMap,
    spots: &'a [DeadSpot],
    spot_name: &'static str,
    caption: Markup,
}

/// The section.
pub fn section(input: &ReportInput) -> Markup {
    let body = html! { @for view in views(input) { @if !view.map.bands.is_empty() { (view.figure(input.scene)) (view.spot_table(input.scene)) } } };
    figure::section("map", "Where it is loud, where it is dead", &input.findings.warnings, &["map"], body)
}

/// Both maps as the script needs them.
pub fn data(input: &ReportInput) -> Value {
    let entries = views(input)
        .into_iter()
        .filter(|v| !v.map.bands.is_empty())
        .map(|v| (v.key.to_string(), v.data(input.scene)));
    Value::Object(entries.collect())
}

fn views<'a>(input: &ReportInput<'a>) -> [View<'a>; 2] {
    let f = input.findings;
    [
        View {
            key: "output",
            group: "band",
            title: format!("Output map, {} in front of the panel", format::millimetres(f.map.distance)),
            unit: "dB re 20 µPa",
            on_panel: false,
            map: &f.map,
            spots: &f.dead_spots,
            spot_name: "Dead spots",
            caption: html! {
                "Band level at each microphone position, relative to the plane’s mean energy; interpolated between positions. "
                "Crosses: deepest points of the dead spots; ellipses: how far the spots reach. Rings: exciters."
            },
        },
        View {
            key: "panel",
            group: "panel-band",
            title: "The panel’s own velocity".into(),
            unit: "dB re 1 m/s",
            on_panel: true,
            map: &f.panel_map,
            spots: &f.quiet_places,
            spot_name: "Quiet places",
            caption: html! {
                "Band mean of the panel’s velocity, relative to the panel’s mean energy. Crossed ellipses: quiet places, "
                "where it is not worth driving and where a vibration pick-up would mislead."
            },
        },
    ]
}

impl View<'_> {
    fn choice(&self) -> Choice {
        let bands = &self.map.bands;
        let labels = bands.iter().map(|b| format::band_label(b.band.nominal)).collect();
        let dots = bands.iter().map(|b| self.spots_of(b).next().is_some()).collect();
        let first = bands.iter().position(|b| b.band.nominal >= FIRST_BAND).unwrap_or(bands.len() / 2);
        Choice::one(self.group, "Band, Hz", labels, first).dotted(dots, "has quiet regions")
    }

    fn spots_of<'s>(&'s self, band: &'s BandMap) -> impl Iterator<Item = &'s DeadSpot> {
        self.spots.iter().filter(move |s| s.band.nominal == band.band.nominal)
    }

    fn has_stability(&self) -> bool {
        self.spots.iter().any(|spot| spot.stability.is_some())
    }

    fn shading(&self) -> Shading {
        let relative = self.map.bands.iter().flat_map(|b| b.level.iter().map(|level| level - b.mean));
        let (low, high) = extent(relative).unwrap_or(RANGE);
        let low = ((low / STEP).floor() * STEP).clamp(RANGE.0, -STEP);
        let high = ((high / STEP).ceil() * STEP).clamp(STEP, RANGE.1);
        heat::quiet_to_loud(low, high)
    }

    fn plane(&self, scene: &Scene) -> Plane {
        let (width, height) = scene.panel.outline.bounding_box();
        let (x, y) = (heat::borders(&self.map.x), heat::borders(&self.map.y));
        let stretch = |values: &[f64], size: f64| {
            let (low, high) = extent(values.iter().copied()).unwrap_or((0.0, size));
            if self.on_panel { (0.0, size) } else { (low.min(0.0), high.max(size)) }
        };
        Plane::new(stretch(&x, width), stretch(&y, height))
    }

    fn refinement(&self) -> usize {
        heat::refinement(self.map.x.len().max(self.map.y.len()))
    }

    /// Borders of the drawn cells in user units; on the panel itself they end at its edge.
    fn borders(&self, plane: &Plane) -> (Vec<f64>, Vec<f64>) {
        let fine = |nodes: &[f64]| heat::refined_nodes(nodes, self.refinement());
        let (mut x, mut y) = heat::plane_borders(plane, &fine(&self.map.x), &fine(&self.map.y));
        let (far, corner) = (plane.far_corner(), plane.near_corner());
        x.iter_mut().for_each(|v| *v = v.clamp(corner.0, far.0));
        y.iter_mut().for_each(|v| *v = v.clamp(corner.1, far.1));
        (x, y)
    }

    fn figure(&self, scene: &Scene) -> Markup {
        let (choice, plane, shading) = (self.choice(), self.plane(scene), self.shading());
        let (x, y) = self.borders(&plane);
        let band = &self.map.bands[choice.first()];
        let relative = heat::filled(band.level.mapv(|v| v - band.mean).view());
        let fine = heat::refined(relative.view(), self.refinement());
        let outline = &scene.panel.outline;
        let shapes = html! {
            @if self.on_panel { (plane.edge(EDGE, outline)) }
            g.cells clip-path=[self.on_panel.then(|| clip::to(EDGE, outline)).flatten()] { (heat::cells(&x, &y, fine.view(), &shading)) }
            (plane.outline(outline))
            @for exciter in &scene.exciters { (plane.ring(exciter.position, exciter.foot_diameter)) }
            @for (i, band) in self.map.bands.iter().enumerate() {
                @for spot in self.spots_of(band) { (plane.quiet(spot.position, spot.extent, &choice.when(i))) }
            }
        };
        let side = heat::bar(&plane, &shading, STEP, "dB re mean");
        let label = format!("{}, heat map", self.title);
        Figure {
            title: self.title.clone(),
            controls: html! { (choice.controls(self.key)) (view_choice().controls(self.key)) },
            legend: self.means(&choice),
            drawing: plane.draw(&label, "map", &shapes, &self.words(scene, &choice), &side),
            caption: self.caption.clone(),
            map: Some((self.key.into(), self.group)),
        }
        .render()
    }

    fn words(&self, scene: &Scene, choice: &Choice) -> Vec<Word> {
        let exciters = scene.exciters.iter().map(|e| Word {
            position: e.position,
            text: e.name.clone(),
            lift: 22.0,
            when: When::default(),
        });
        let spots = self.map.bands.iter().enumerate().flat_map(|(i, band)| {
            self.spots_of(band).take(LABELLED_SPOTS).map(move |s| Word {
                position: s.position,
                text: format!("−{}{NBSP}dB", format::fixed(s.depth, 0)),
                lift: 14.0,
                when: choice.when(i),
            })
        });
        exciters.chain(spots).collect()
    }

    fn means(&self, choice: &Choice) -> Markup {
        html! {
            @for (i, band) in self.map.bands.iter().enumerate() {
                p.mean class=(choice.when(i).class()) data-when=[choice.when(i).attribute()] {
                    strong { (format::band(band.band.nominal)) } " band: mean of the plane " (format::fixed(band.mean, 1)) " " (self.unit)
                }
            }
        }
    }

    fn spot_table(&self, scene: &Scene) -> Markup {
        let choice = self.choice();
        let width = scene.panel.outline.bounding_box().0;
        html! {
            details open[!self.on_panel && !self.spots.is_empty()] {
                summary { (self.spot_name) ", band by band" }
                @if self.spots.is_empty() { p { "None in any band." } } @else {
                    div.wide { table.numbers {
                        thead { tr { th { "Band" } th { "x" } th { "y" } th { "x from behind" } th { "Depth" } th { "Extent" } th { "Area" } @if self.has_stability() { th { "Found in variations" } } } }
                        tbody { @for (i, band) in self.map.bands.iter().enumerate() {
                            @for spot in self.spots_of(band) { (spot_row(spot, width, &choice.when(i), self.has_stability())) }
                        } }
                    } }
                    p.definition { "The table follows the chosen band. “x from behind” counts from the left edge as seen from the panel’s back. A quiet region is connected and lies below the mean energy of the whole plane in that band." }
                }
            }
        }
    }

    fn data(&self, scene: &Scene) -> Value {
        // Continued beyond the rim, where it is clipped.
        let band = |band: &BandMap| painted::band(heat::filled(band.level.view()).view(), band.mean);
        Painted {
            borders: self.borders(&self.plane(scene)),
            shading: self.shading(),
            unit: self.unit,
            factor: self.refinement(),
            size: (self.map.x.len(), self.map.y.len()),
            clipped: self.on_panel,
            reference: "mean",
            blank: "",
            bands: self.map.bands.iter().map(band).collect(),
        }
        .json()
    }
}

/// One quiet region, shown with its band.
fn spot_row(spot: &DeadSpot, width: f64, when: &When, stability: bool) -> Markup {
    let [x, y] = spot.position;
    html! {
        tr class=(when.class()) data-when=[when.attribute()] {
            th scope="row" { (format::band(spot.band.nominal)) }
            td { (format::millimetres(x)) }
            td { (format::millimetres(y)) }
            td { (format::millimetres(width - x)) }
            td { (format::decibels(spot.depth)) }
            td { (format::fixed(spot.extent[0] * 1e3, 0)) " × " (format::millimetres(spot.extent[1])) }
            td { (format::area(spot.area)) }
            @if stability { td { (spot.stability.map_or_else(|| "–".into(), |s| format!("{} of {}", s.still_there, s.variations))) } }
        }
    }
}
