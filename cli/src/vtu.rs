//! Pictures of the sound on a body for general viewers of three-dimensional data: VTK's XML format for unstructured grids (`.vtu`,
//! VTK File Formats, "UnstructuredGrid"), values in base64, single precision.
//!
//! Points in metres in the driver's coordinates: its axis is the z axis, x to the listener's right, y up.

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use panelwright_solver::listening::spl;
use panelwright_solver::surrounds::Picture;

/// VTK's number for a triangle.
const TRIANGLE: u8 = 5;

/// The file as text.
pub fn unstructured_grid(picture: &Picture) -> String {
    let (points, cells) = (picture.points.len(), picture.triangles.len());
    let pressure = &picture.pressure;
    let coordinates = array("position_m", 3, picture.points.iter().flat_map(|p| [p.x, p.y, p.z]).map(single));
    let point_data = [
        array("pressure_real_pa", 1, pressure.iter().map(|p| single(p.re))),
        array("pressure_imaginary_pa", 1, pressure.iter().map(|p| single(p.im))),
        array("level_db_re_20_upa", 1, pressure.iter().map(|p| single(spl(*p)))),
    ];
    let corners = picture.triangles.iter().flatten().map(|point| (*point as i32).to_le_bytes());
    let ends = (1..=cells).map(|cell| (3 * cell as i32).to_le_bytes());
    let patches = picture.patches.iter().map(|patch| i32::from(*patch).to_le_bytes());
    let cell_data = of_type("Int32", "patch", 1, patches);
    let topology = [
        of_type("Int32", "connectivity", 1, corners),
        of_type("Int32", "offsets", 1, ends),
        of_type("UInt8", "types", 1, (0..cells).map(|_| [TRIANGLE])),
    ];
    format!(
        "<?xml version=\"1.0\"?>\n\
         <!-- Sound at {} Hz on the body. Phasors are RMS, time factor exp(+j omega t). Patches: 0 rigid, 1 diaphragm, 2 surround. -->\n\
         <VTKFile type=\"UnstructuredGrid\" version=\"1.0\" byte_order=\"LittleEndian\" header_type=\"UInt64\">\n\
         <UnstructuredGrid>\n<Piece NumberOfPoints=\"{points}\" NumberOfCells=\"{cells}\">\n\
         <Points>\n{coordinates}</Points>\n<Cells>\n{}</Cells>\n<PointData>\n{}</PointData>\n<CellData>\n{cell_data}</CellData>\n\
         </Piece>\n</UnstructuredGrid>\n</VTKFile>\n",
        picture.frequency,
        topology.concat(),
        point_data.concat(),
    )
}

fn single(value: f64) -> [u8; 4] {
    (value as f32).to_le_bytes()
}

fn array(name: &str, components: usize, values: impl Iterator<Item = [u8; 4]>) -> String {
    of_type("Float32", name, components, values)
}

/// One array: its length in bytes, then its values.
fn of_type<const N: usize>(
    kind: &str,
    name: &str,
    components: usize,
    values: impl Iterator<Item = [u8; N]>,
) -> String {
    let values: Vec<u8> = values.flatten().collect();
    let with_length: Vec<u8> = (values.len() as u64).to_le_bytes().into_iter().chain(values).collect();
    let text = BASE64_STANDARD.encode(with_length);
    format!(
        "<DataArray type=\"{kind}\" Name=\"{name}\" NumberOfComponents=\"{components}\" format=\"binary\">{text}</DataArray>\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::Array2;
    use num_complex::Complex64;
    use panelwright_solver::surrounds::CutPlane;
    use usvg::roxmltree::Document;

    /// A tetrahedron without its bottom.
    fn picture() -> Picture {
        let nowhere = || CutPlane { across: vec![], along: vec![], pressure: Array2::zeros((0, 0)) };
        Picture {
            frequency: 1e3,
            points: vec![
                [0.0, 0.0, 0.5].into(),
                [1.0, 0.0, 0.0].into(),
                [0.0, 1.0, 0.0].into(),
                [-1.0, -1.0, 0.0].into(),
            ],
            triangles: vec![[0, 1, 2], [0, 2, 3], [0, 3, 1]],
            patches: vec![0, 1, 2],
            pressure: [0.5, -0.25, 2.0, 20e-6].map(|p| Complex64::new(p, 0.0)).to_vec(),
            planes: [nowhere(), nowhere()],
        }
    }

    /// Bytes of an array behind its length, which is looked at.
    fn bytes(document: &Document, name: &str) -> Vec<u8> {
        let node = document.descendants().find(|node| node.attribute("Name") == Some(name));
        let text = node.and_then(|node| node.text()).unwrap_or_else(|| panic!("no array {name}"));
        let all = BASE64_STANDARD.decode(text).expect("base64");
        let (length, values) = all.split_at(8);
        assert_eq!(length, (values.len() as u64).to_le_bytes(), "{name}");
        values.to_vec()
    }

    fn singles(document: &Document, name: &str) -> Vec<f32> {
        let four = |bytes: &[u8]| f32::from_le_bytes(bytes.try_into().expect("four bytes"));
        bytes(document, name).chunks(4).map(four).collect()
    }

    fn integers(document: &Document, name: &str) -> Vec<i32> {
        let four = |bytes: &[u8]| i32::from_le_bytes(bytes.try_into().expect("four bytes"));
        bytes(document, name).chunks(4).map(four).collect()
    }

    #[test]
    fn points_triangles_and_values_come_back() {
        let text = unstructured_grid(&picture());
        let document = Document::parse(&text).expect("well-formed XML");
        let piece = document.descendants().find(|node| node.has_tag_name("Piece")).expect("a piece");
        assert_eq!(
            (piece.attribute("NumberOfPoints"), piece.attribute("NumberOfCells")),
            (Some("4"), Some("3"))
        );
        assert_eq!(singles(&document, "position_m")[..6], [0.0, 0.0, 0.5, 1.0, 0.0, 0.0]);
        assert_eq!(singles(&document, "pressure_real_pa"), [0.5, -0.25, 2.0, 20e-6]);
        let level = singles(&document, "level_db_re_20_upa");
        assert!((level[2] - 100.0).abs() < 1e-4 && level[3].abs() < 1e-4, "{level:?}");
        assert_eq!(integers(&document, "connectivity"), [0, 1, 2, 0, 2, 3, 0, 3, 1]);
        assert_eq!(integers(&document, "offsets"), [3, 6, 9]);
        assert_eq!((integers(&document, "patch"), bytes(&document, "types")), (vec![0, 1, 2], vec![5; 3]));
    }
}
