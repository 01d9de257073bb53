use std::fs::{self, File};
use std::path::{Path, PathBuf};

use colour::{Alpha, ColourModel, RasterFormat, Samples};
use inkfathom_tests::repository;
use intake::{Limits, Picture};

use crate::bench_error::BenchError;

/// A decoded photograph: RGB bytes, rows one after the other.
pub(crate) struct Photograph {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) samples: Vec<u8>,
}

/// The RGB photographs of 8 bits in `testimages`, in the order of their names.
pub(crate) fn photographs() -> Result<Vec<Photograph>, BenchError> {
    let folder = repository().join("testimages/photographs");
    let mut all = Vec::new();
    for path in files_in(&folder)? {
        all.extend(photograph(&path)?);
    }
    if all.is_empty() {
        return Err(BenchError::NoPhotographs { folder });
    }
    Ok(all)
}

/// Opens a picture with the product's own decoder.
pub(crate) fn open(path: &Path) -> Result<Picture, BenchError> {
    let file = File::open(path).map_err(BenchError::file(path))?;
    intake::open(file, &Limits::default()).map_err(BenchError::picture(path))
}

fn files_in(folder: &Path) -> Result<Vec<PathBuf>, BenchError> {
    let entries = fs::read_dir(folder).map_err(BenchError::file(folder))?;
    let mut files: Vec<PathBuf> = entries
        .map(|entry| entry.map(|entry| entry.path()).map_err(BenchError::file(folder)))
        .collect::<Result<_, _>>()?;
    files.sort();
    Ok(files)
}

/// The photograph, or nothing where it has another layout.
fn photograph(path: &Path) -> Result<Option<Photograph>, BenchError> {
    let mut picture = open(path)?;
    let RasterFormat { width, height, model, alpha, .. } = picture.format;
    if (model, alpha) != (ColourModel::Rgb, Alpha::None) {
        return Ok(None);
    }
    let mut samples = Vec::new();
    while let Some(band) = picture.rows.next_band().map_err(BenchError::picture(path))? {
        let Samples::Eight(bytes) = band.samples else { return Ok(None) };
        samples.extend_from_slice(&bytes);
    }
    Ok(Some(Photograph { width: width as usize, height: height as usize, samples }))
}
