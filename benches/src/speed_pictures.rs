use std::fs::File;
use std::io::BufWriter;
use std::path::{Path, PathBuf};

use colour::BitDepth;
use jpeg_encoder::SamplingFactor;
use picture_files::{PngColour, PngPicture, Row};
use tempfile::NamedTempFile;
use tiff::encoder::colortype::{ColorType, RGB8, RGB16};
use tiff::encoder::{Compression, DeflateLevel, TiffEncoder};

use crate::bench_error::BenchError;
use crate::mosaic::{CAMERA_SIZED, Mosaic};
use crate::photographs::Photograph;

/// A picture of the speed table.
#[derive(Clone, Copy)]
pub(crate) struct SpeedPicture {
    pub(crate) name: &'static str,
    pub(crate) mosaic: Mosaic,
    kind: Kind,
}

#[derive(Clone, Copy)]
enum Kind {
    Jpeg(SamplingFactor),
    Png,
    /// Random bytes in place of photographs.
    PngNoise,
    Tiff(Compression),
    DeepTiff,
}

const LARGE: Mosaic = Mosaic { width: 12_240, height: 8170, fields: 4 };
const HUGE: Mosaic = Mosaic { width: 18_960, height: 12_660, fields: 4 };
const GIGAPIXEL: Mosaic = Mosaic { width: 40_000, height: 25_000, fields: 4 };
const FIFTY: Mosaic = Mosaic { width: 8700, height: 5750, fields: 4 };

/// All pictures of the table, in its order.
pub(crate) const PICTURES: [SpeedPicture; 13] = [
    picture("jpeg-420-24", CAMERA_SIZED, Kind::Jpeg(SamplingFactor::F_2_2)),
    picture("jpeg-420-100", LARGE, Kind::Jpeg(SamplingFactor::F_2_2)),
    picture("jpeg-420-240", HUGE, Kind::Jpeg(SamplingFactor::F_2_2)),
    picture("jpeg-444-24", CAMERA_SIZED, Kind::Jpeg(SamplingFactor::F_1_1)),
    picture("jpeg-444-100", LARGE, Kind::Jpeg(SamplingFactor::F_1_1)),
    picture("jpeg-444-240", HUGE, Kind::Jpeg(SamplingFactor::F_1_1)),
    picture("png-24", CAMERA_SIZED, Kind::Png),
    picture("png-noise-24", CAMERA_SIZED, Kind::PngNoise),
    picture("tiff-raw-100", LARGE, Kind::Tiff(Compression::Uncompressed)),
    picture("tiff-lzw-100", LARGE, Kind::Tiff(Compression::Lzw)),
    picture("tiff-zip-100", LARGE, Kind::Tiff(Compression::Deflate(DeflateLevel::Balanced))),
    picture("tiff-16-bit-50", FIFTY, Kind::DeepTiff),
    picture("tiff-raw-1000", GIGAPIXEL, Kind::Tiff(Compression::Uncompressed)),
];

const fn picture(name: &'static str, mosaic: Mosaic, kind: Kind) -> SpeedPicture {
    SpeedPicture { name, mosaic, kind }
}

/// Rows of a strip: about 256 KiB, as many writers choose (common practice, no source).
const STRIP_BYTES: usize = 256 << 10;

impl SpeedPicture {
    /// The file in a folder, made unless it is there.
    pub(crate) fn in_folder(
        &self,
        folder: &Path,
        photographs: &[Photograph],
    ) -> Result<PathBuf, BenchError> {
        let path = folder.join(format!("{}.{}", self.name, self.extension()));
        if path.exists() {
            return Ok(path);
        }
        let file = NamedTempFile::new_in(folder).map_err(BenchError::file(folder))?;
        self.write(photographs, file.path())?;
        file.persist(&path).map_err(|fault| BenchError::file(&path)(fault.error))?;
        Ok(path)
    }

    const fn extension(&self) -> &'static str {
        match self.kind {
            Kind::Jpeg(_) => "jpg",
            Kind::Png | Kind::PngNoise => "png",
            Kind::Tiff(_) | Kind::DeepTiff => "tif",
        }
    }

    fn write(&self, photographs: &[Photograph], path: &Path) -> Result<(), BenchError> {
        let mosaic = self.mosaic;
        let row = |row: usize| mosaic.row(photographs, row);
        match self.kind {
            Kind::Jpeg(chroma) => mosaic.save(photographs, chroma, path),
            Kind::Png => self.write_png(path, row),
            Kind::PngNoise => {
                let mut noise = Noise(1);
                self.write_png(path, |_| noise.bytes(3 * usize::from(mosaic.width)))
            }
            Kind::Tiff(compression) => self.write_tiff::<RGB8>(path, compression, row),
            Kind::DeepTiff => {
                let deep = |at| row(at).into_iter().map(|sample| u16::from(sample) * 257).collect();
                self.write_tiff::<RGB16>(path, Compression::Uncompressed, deep)
            }
        }
    }

    fn write_png(
        &self,
        path: &Path,
        mut row: impl FnMut(usize) -> Vec<u8>,
    ) -> Result<(), BenchError> {
        let Mosaic { width, height, .. } = self.mosaic;
        let file = File::create(path).map_err(BenchError::file(path))?;
        let picture = PngPicture {
            width: width.into(),
            height: height.into(),
            colour: PngColour::Rgb,
            depth: BitDepth::Eight,
            resolution: None,
            profile: None,
        };
        let written = picture.write(BufWriter::new(file), |rows| {
            (0..self.mosaic.rows()).try_for_each(|at| rows.write_row(Row::Eight(&row(at))))
        });
        written.map_err(|fault| BenchError::writing(path, &fault))
    }

    fn write_tiff<C>(
        &self,
        path: &Path,
        compression: Compression,
        row: impl Fn(usize) -> Vec<C::Inner>,
    ) -> Result<(), BenchError>
    where
        C: ColorType,
        [C::Inner]: tiff::encoder::TiffValue,
    {
        let failed = |fault: tiff::TiffError| BenchError::writing(path, &fault);
        let file = File::create(path).map_err(BenchError::file(path))?;
        let encoder = TiffEncoder::new(BufWriter::new(file)).map_err(failed)?;
        let mut encoder = encoder.with_compression(compression);
        let Mosaic { width, height, .. } = self.mosaic;
        let mut image = encoder.new_image::<C>(width.into(), height.into()).map_err(failed)?;
        let row_bytes = 3 * usize::from(width) * size_of::<C::Inner>();
        let rows_per_strip = (STRIP_BYTES / row_bytes).max(1);
        let rows = u32::try_from(rows_per_strip).unwrap_or(1);
        image.rows_per_strip(rows).map_err(failed)?;
        let all: Vec<usize> = (0..self.mosaic.rows()).collect();
        if compression != Compression::Uncompressed {
            // The encoder compresses whole pictures alone; strip by strip it only says that it does.
            let samples: Vec<C::Inner> = all.into_iter().flat_map(row).collect();
            return image.write_data(&samples).map_err(failed);
        }
        for strip in all.chunks(rows_per_strip) {
            let samples: Vec<C::Inner> = strip.iter().flat_map(|at| row(*at)).collect();
            image.write_strip(&samples).map_err(failed)?;
        }
        image.finish().map_err(failed)
    }
}

/// A small generator of even noise (Marsaglia, Journal of Statistical Software 8 (2003)).
struct Noise(u64);

impl Noise {
    fn bytes(&mut self, count: usize) -> Vec<u8> {
        let words = (0..count.div_ceil(8)).flat_map(|_| {
            self.0 ^= self.0 << 13;
            self.0 ^= self.0 >> 7;
            self.0 ^= self.0 << 17;
            self.0.to_le_bytes()
        });
        words.take(count).collect()
    }
}
