use std::fmt::Write as _;
use std::io::BufWriter;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use colour::BitDepth;
use estimating::{
    EstimatingError, InkPreview, SeparatedPicture, SeparationJob, Weight, separate_picture,
};
use picture_files::{PngColour, PngPicture, Row};
use tempfile::NamedTempFile;

use crate::Exit;
use crate::estimating_commands::warn_of;
use crate::output::{beside, say, unwritable, write_result};
use crate::picture_options::PictureOptions;
use crate::picture_reading::PictureReading;
use crate::prepared_sets::prepare_one;
use crate::print_arguments::PrintArguments;
use crate::shell_error::ShellError;

#[derive(Debug, Args)]
pub(crate) struct SeparateArguments {
    /// Picture, in any of the formats that `estimate` reads
    #[arg(value_name = "FILE")]
    file: PathBuf,
    #[command(flatten)]
    print: PrintArguments,
    #[command(flatten)]
    pictures: PictureOptions,
    /// Built-in ink set or path of a TOML file
    #[arg(long, value_name = "NAME|PATH", default_value = "five")]
    ink_set: String,
    /// The TIFF file to write, one sample an ink
    #[arg(long, value_name = "PATH")]
    output: PathBuf,
    /// Bits of a sample
    #[arg(long, value_enum, default_value_t)]
    bits: Bits,
    /// Write a small gray PNG of each ink beside the TIFF file too
    #[arg(long)]
    previews: bool,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum Bits {
    /// 0 to 255
    #[default]
    #[value(name = "8")]
    Eight,
    /// 0 to 65535
    #[value(name = "16")]
    Sixteen,
}

/// `inkfathom separate`.
pub(crate) fn run(arguments: &SeparateArguments) -> Result<Exit, ShellError> {
    let job = SeparationJob {
        size: arguments.print.size(),
        rendering: arguments.print.rendering()?,
        depth: match arguments.bits {
            Bits::Eight => BitDepth::Eight,
            Bits::Sixteen => BitDepth::Sixteen,
        },
    };
    let reading = PictureReading::new(&arguments.pictures)?;
    if !arguments.pictures.page.is_single() {
        return Err(ShellError::SeveralPagesInOneFile);
    }
    let prepared = prepare_one(&arguments.print.device, &arguments.ink_set)?;
    let path = &arguments.output;
    let file = beside(path).map_err(|cause| unwritable(path, &cause))?;
    let separate = || {
        let picture = reading.open_only(&arguments.file)?;
        let to = BufWriter::new(file.as_file());
        separate_picture(picture, reading.assumed(), &prepared, &job, to)
    };
    match separate() {
        Ok(separated) => {
            put_in_place(file, path)?;
            report(&separated, arguments)
        }
        Err(EstimatingError::PictureFile(cause)) => {
            Err(ShellError::UnwrittenPicture { path: path.clone(), cause })
        }
        Err(fault) => {
            say("error", &format!("{}: {fault}", arguments.file.display()));
            Ok(Exit::AllFilesFailed)
        }
    }
}

fn put_in_place(file: NamedTempFile, path: &Path) -> Result<(), ShellError> {
    file.as_file().sync_all().map_err(|cause| unwritable(path, &cause))?;
    file.persist(path).map_err(|fault| unwritable(path, &fault.error))?;
    Ok(())
}

fn report(separated: &SeparatedPicture, arguments: &SeparateArguments) -> Result<Exit, ShellError> {
    warn_of(&arguments.file.display().to_string(), &separated.assumptions);
    if arguments.previews {
        for (place, preview) in separated.previews.iter().enumerate() {
            write_preview(preview, &preview_path(&arguments.output, place, &preview.ink))?;
        }
    }
    write_result(&described(separated), None)?;
    Ok(Exit::Answered)
}

/// `out.tif` becomes `out-01-light-cyan.png`; the number keeps names apart that look alike.
fn preview_path(output: &Path, place: usize, ink: &str) -> PathBuf {
    let plain = |letter: char| if letter.is_alphanumeric() { letter } else { '-' };
    let ink: String = ink.chars().map(plain).collect();
    let stem = output.file_stem().unwrap_or_default().to_string_lossy();
    output.with_file_name(format!("{stem}-{:02}-{ink}.png", place + 1))
}

fn write_preview(preview: &InkPreview, path: &Path) -> Result<(), ShellError> {
    let file = beside(path).map_err(|cause| unwritable(path, &cause))?;
    let picture = PngPicture {
        width: preview.width,
        height: preview.height,
        colour: PngColour::Gray,
        depth: BitDepth::Eight,
        resolution: None,
        profile: None,
    };
    let rows = preview.samples.chunks(preview.width as usize);
    picture
        .write(BufWriter::new(file.as_file()), |png| {
            rows.into_iter().try_for_each(|row| png.write_row(Row::Eight(row)))
        })
        .map_err(|cause| ShellError::UnwrittenPicture { path: path.to_owned(), cause })?;
    put_in_place(file, path)
}

fn described(separated: &SeparatedPicture) -> String {
    let mut text = String::new();
    let SeparatedPicture { channels, size, coverages, assumptions, .. } = separated;
    // Writing to a string can't fail.
    let _ = writeln!(text, "{} × {}, {} channels", size.width, size.height, channels.len());
    for (channel, coverage) in channels.iter().zip(coverages) {
        let _ = writeln!(text, "  {channel:<16} {:6.2} %", 100.0 * coverage.to_fraction());
    }
    for assumption in assumptions {
        let mark = if assumption.weight == Weight::Warning { '!' } else { '-' };
        let _ = writeln!(text, "{mark} {}", assumption.text);
    }
    let _ = writeln!(text, "\nA prediction is not a measurement.");
    text
}
