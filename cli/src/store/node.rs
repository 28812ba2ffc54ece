//! A group that only accepts documented datasets.

use hdf5::types::VarLenUnicode;
use hdf5::{Group, H5Type, Location};
use ndarray::{Array1, ArrayView, Dimension};
use num_complex::Complex64;

/// What a dataset means.
pub(super) struct Meaning<'a> {
    pub unit: &'a str,
    /// Paths of the datasets that label the axes, or a plain word where none does.
    pub dimensions: &'a [&'a str],
    pub description: &'a str,
}

/// Unit of sound pressure levels.
pub(super) const DB_SPL: &str = "dB re 20 uPa";
/// Path of the dataset that labels most curves.
pub(super) const FREQUENCIES: &str = "/frequencies";

/// A meaning, dimensions first.
pub(super) fn over<'a>(dimensions: &'a [&'a str], unit: &'a str, description: &'a str) -> Meaning<'a> {
    Meaning { unit, dimensions, description }
}

/// A group.
pub(super) struct Node {
    group: Group,
}

impl Node {
    pub fn new(group: &Group) -> Self {
        Self { group: group.clone() }
    }

    pub fn child(&self, name: &str, description: &str) -> hdf5::Result<Node> {
        let group = self.group.create_group(name)?;
        attribute(&group, "description", description)?;
        Ok(Node { group })
    }

    pub fn attribute(&self, name: &str, text: &str) -> hdf5::Result<()> {
        attribute(&self.group, name, text)
    }

    pub fn array<'d, T, D>(
        &self,
        name: &str,
        data: impl Into<ArrayView<'d, T, D>>,
        meaning: Meaning,
    ) -> hdf5::Result<()>
    where
        T: H5Type + Clone + 'd,
        D: Dimension,
    {
        let data = data.into();
        debug_assert_eq!(data.ndim(), meaning.dimensions.len(), "dimensions of {name}");
        let standard = data.as_standard_layout();
        let dataset = self.group.new_dataset_builder().with_data(standard.view()).create(name)?;
        describe(&dataset, &meaning)
    }

    pub fn number(&self, name: &str, value: f64, unit: &str, description: &str) -> hdf5::Result<()> {
        let dataset = self.group.new_dataset::<f64>().create(name)?;
        dataset.write_scalar(&value)?;
        describe(&dataset, &Meaning { unit, dimensions: &[], description })
    }

    pub fn text(&self, name: &str, text: &str, description: &str) -> hdf5::Result<()> {
        let dataset = self.group.new_dataset::<VarLenUnicode>().create(name)?;
        dataset.write_scalar(&unicode(text)?)?;
        describe(&dataset, &Meaning { unit: "", dimensions: &[], description })
    }

    pub fn texts<'t>(
        &self,
        name: &str,
        texts: impl IntoIterator<Item = &'t str>,
        meaning: Meaning,
    ) -> hdf5::Result<()> {
        let texts: Array1<VarLenUnicode> = texts.into_iter().map(unicode).collect::<hdf5::Result<_>>()?;
        self.array(name, &texts, meaning)
    }
}

pub(super) fn describe(dataset: &Location, meaning: &Meaning) -> hdf5::Result<()> {
    attribute(dataset, "unit", meaning.unit)?;
    attribute(dataset, "description", meaning.description)?;
    attribute(dataset, "dimensions", &meaning.dimensions.join(" x "))
}

fn attribute(place: &Location, name: &str, text: &str) -> hdf5::Result<()> {
    place.new_attr::<VarLenUnicode>().create(name)?.write_scalar(&unicode(text)?)
}

/// HDF5 strings end at the first NUL, which no honest text contains.
fn unicode(text: &str) -> hdf5::Result<VarLenUnicode> {
    text.replace('\0', "").parse().map_err(|error| hdf5::Error::from(format!("{error:?}")))
}

/// Rows of equal length as one array; a shorter row is filled up with NaN, so that nothing is lost.
pub(super) fn stack(rows: &[&[f64]]) -> ndarray::Array2<f64> {
    let columns = rows.iter().map(|row| row.len()).max().unwrap_or(0);
    ndarray::Array2::from_shape_fn((rows.len(), columns), |(i, j)| {
        rows[i].get(j).copied().unwrap_or(f64::NAN)
    })
}

/// As [`stack`], complex.
pub(super) fn stack_complex(rows: &[&[Complex64]]) -> ndarray::Array2<Complex64> {
    let columns = rows.iter().map(|row| row.len()).max().unwrap_or(0);
    ndarray::Array2::from_shape_fn((rows.len(), columns), |(i, j)| {
        rows[i].get(j).copied().unwrap_or(Complex64::new(f64::NAN, f64::NAN))
    })
}

/// One array of several of the same shape.
pub(super) fn piled<T: Clone>(parts: &[ndarray::Array2<T>]) -> ndarray::Array3<T> {
    let (rows, columns) = parts.first().map_or((0, 0), |part| part.dim());
    ndarray::Array3::from_shape_fn((parts.len(), rows, columns), |(part, i, j)| parts[part][[i, j]].clone())
}
