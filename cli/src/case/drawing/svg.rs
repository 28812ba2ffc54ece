//! SVG → pieces.

use super::Unusable;
use panelwright_mesh::Piece;
use usvg::tiny_skia_path::PathSegment;
use usvg::{Group, ImageHrefResolver, Node, Options, Tree, roxmltree};

/// An SVG pixel [m]: 1/96 inch (CSS Values and Units, § 6.2).
const PIXEL: f64 = 0.0254 / 96.0;

/// Lines and curves of all visible paths [m], y up.
pub fn pieces(bytes: &[u8], unit: Option<f64>) -> Result<Vec<Piece>, Unusable> {
    let broken =
        |reason: String| Unusable::new("the drawing cannot be read", reason, "save it again as plain SVG");
    let text = str::from_utf8(bytes).map_err(|error| broken(error.to_string()))?;
    let document = roxmltree::Document::parse(text).map_err(|error| broken(error.to_string()))?;
    let tree = Tree::from_xmltree(&document, &no_files()).map_err(|error| broken(error.to_string()))?;
    let scale = scale(&document, &tree, unit)?;
    let mut pieces = vec![];
    collect(tree.root(), scale, &mut pieces);
    Ok(pieces)
}

/// Linked pictures are of no interest, and a drawing has no business reading other files.
fn no_files() -> Options<'static> {
    let image_href_resolver =
        ImageHrefResolver { resolve_data: Box::new(|_, _, _| None), resolve_string: Box::new(|_, _| None) };
    Options { image_href_resolver, ..Options::default() }
}

/// Metres per unit of the tree, which is a pixel.
fn scale(document: &roxmltree::Document, tree: &Tree, unit: Option<f64>) -> Result<f64, Unusable> {
    let root = document.root_element();
    let width = root.attribute("width").unwrap_or_default().trim();
    if let Some(unit) = unit {
        let box_width = root
            .attribute("viewBox")
            .and_then(|view| view.split([' ', ',']).filter(|s| !s.is_empty()).nth(2)?.parse::<f64>().ok());
        let shown = f64::from(tree.size().width());
        return Ok(unit * box_width.map_or(1.0, |units| units / shown));
    }
    if ["mm", "cm", "in", "pt", "pc", "Q"].iter().any(|unit| width.ends_with(unit)) {
        return Ok(PIXEL);
    }
    let reason =
        if width.is_empty() { "its <svg> has no width".into() } else { format!("its width is \"{width}\"") };
    let help =
        "add a line drawing_unit = \"mm\" to the panel, or give the page a size in mm in the drawing program";
    Err(Unusable::new("the drawing does not say how long its units are", reason, help))
}

fn collect(group: &Group, scale: f64, pieces: &mut Vec<Piece>) {
    for node in group.children() {
        match node {
            Node::Group(inner) => collect(inner, scale, pieces),
            Node::Path(path) if path.is_visible() => {
                if let Some(data) = path.data().clone().transform(path.abs_transform()) {
                    trace(data.segments(), scale, pieces);
                }
            }
            _ => {}
        }
    }
}

fn trace(segments: impl Iterator<Item = PathSegment>, scale: f64, pieces: &mut Vec<Piece>) {
    let place = |p: usvg::tiny_skia_path::Point| [scale * f64::from(p.x), -scale * f64::from(p.y)];
    let (mut start, mut from) = ([0.0; 2], [0.0; 2]);
    for segment in segments {
        let to = match segment {
            PathSegment::MoveTo(p) => {
                start = place(p);
                start
            }
            PathSegment::LineTo(p) => {
                pieces.push(Piece::Straight { from, to: place(p) });
                place(p)
            }
            PathSegment::QuadTo(control, p) => {
                pieces.push(quadratic(from, place(control), place(p)));
                place(p)
            }
            PathSegment::CubicTo(a, b, p) => {
                pieces.push(Piece::Cubic { points: [from, place(a), place(b), place(p)] });
                place(p)
            }
            PathSegment::Close => {
                pieces.push(Piece::Straight { from, to: start });
                start
            }
        };
        from = to;
    }
}

/// A quadratic Bézier curve as a cubic one, exactly.
fn quadratic(from: [f64; 2], control: [f64; 2], to: [f64; 2]) -> Piece {
    let towards = |end: [f64; 2]| [0, 1].map(|k| (end[k] + 2.0 * control[k]) / 3.0);
    Piece::Cubic { points: [from, towards(from), towards(to), to] }
}
