use std::fmt::Write as _;
use std::fs;
use std::io::{self, BufWriter};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use colour::{BitDepth, Illuminant, Lab, Orientation};
use estimating::{EstimatingError, PreparedSet, RenderingChoice, preview_colours, prove_preview};
use picture_files::{
    PictureFileError, PngColour, PngPicture, Row, TiffColour, TiffPicture, lab_samples,
};
use proof::{Fineness, PaperWhite, PreviewProof, ScreenPicture, Viewing, maps};

use crate::Exit;
use crate::estimating_commands::{count, warn_of};
use crate::output::{beside, say, unwritable, write_result};
use crate::picture_options::PictureOptions;
use crate::picture_reading::{Page, PictureReading};
use crate::prepared_sets::prepare;
use crate::print_arguments::{DeviceArguments, RenderingArguments};
use crate::shell_error::ShellError;

#[derive(Debug, Args)]
pub(crate) struct ProofArguments {
    /// Pictures, in any of the formats that `estimate` reads
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Built-in ink set or path of a TOML file; may be given more than once
    #[arg(long, value_name = "NAME|PATH", required = true)]
    ink_set: Vec<String>,
    #[command(flatten)]
    device: DeviceArguments,
    #[command(flatten)]
    rendering: RenderingArguments,
    #[command(flatten)]
    pictures: PictureOptions,
    /// Light on the print
    #[arg(long, value_enum, default_value_t)]
    light: LightOption,
    /// Show the paper's tint in place of showing the paper as white
    #[arg(long)]
    show_paper: bool,
    /// The folder to write to; it is made if it is missing
    #[arg(long, value_name = "FOLDER")]
    output: PathBuf,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum LightOption {
    /// Daylight of 5000 K, the light of the graphic trade
    #[default]
    #[value(name = "D50")]
    D50,
    /// Daylight of 6500 K
    #[value(name = "D65")]
    D65,
    /// Incandescent lamp
    #[value(name = "A")]
    A,
}

/// Why the proofs of one picture end early.
enum ProofFault {
    /// The picture's fault: the others are still proved.
    Picture(EstimatingError),
    /// Nothing can be written: the run ends.
    Shell(Box<ShellError>),
}

impl From<EstimatingError> for ProofFault {
    fn from(fault: EstimatingError) -> Self {
        Self::Picture(fault)
    }
}

impl From<ShellError> for ProofFault {
    fn from(fault: ShellError) -> Self {
        Self::Shell(Box::new(fault))
    }
}

/// `inkfathom proof`.
pub(crate) fn run(arguments: &ProofArguments) -> Result<Exit, ShellError> {
    let choice = arguments.rendering.choice()?;
    let names: Vec<&str> = arguments.ink_set.iter().map(String::as_str).collect();
    let proofing = Proofing {
        prepared: prepare(&arguments.device, &names)?,
        choice,
        viewing: arguments.viewing(),
    };
    let reading = PictureReading::new(&arguments.pictures)?;
    let mut folders = Folders { root: &arguments.output, taken: Vec::new() };
    let (mut written, mut failed) = (String::new(), 0);
    let mut pages = 0;
    for page in arguments.files.iter().flat_map(|path| reading.pages(path)) {
        pages += 1;
        let name = page.name.clone();
        match proofing.prove(page, &reading, &mut folders) {
            Ok(paths) => {
                for path in paths {
                    // Writing to a string can't fail.
                    let _ = writeln!(written, "{}", path.display());
                }
            }
            Err(ProofFault::Picture(fault)) => {
                failed += 1;
                say("error", &format!("{name}: {fault}"));
            }
            Err(ProofFault::Shell(fault)) => return Err(*fault),
        }
    }
    write_result(&written, None)?;
    Ok(Exit::of_files(failed, pages))
}

impl ProofArguments {
    const fn viewing(&self) -> Viewing {
        Viewing {
            light: match self.light {
                LightOption::D50 => Illuminant::D50,
                LightOption::D65 => Illuminant::D65,
                LightOption::A => Illuminant::A,
            },
            paper: if self.show_paper { PaperWhite::Shown } else { PaperWhite::Mapped },
        }
    }
}

/// What is the same for all pictures.
struct Proofing {
    prepared: Vec<PreparedSet>,
    choice: RenderingChoice,
    viewing: Viewing,
}

impl Proofing {
    /// Writes everything about a page and says what was written.
    fn prove(
        &self,
        page: Page<'_>,
        reading: &PictureReading<'_>,
        folders: &mut Folders<'_>,
    ) -> Result<Vec<PathBuf>, ProofFault> {
        let stem = page.stem();
        let name = page.name.clone();
        let counted = count(page, reading, self.choice, &self.prepared)?;
        warn_of(&name, &counted.assumptions);
        let colours = preview_colours(&counted, Fineness::Exact, u64::MAX);
        let mut folder = Folder { path: folders.make(&stem)?, written: Vec::new() };
        let mut before: Vec<(&PreparedSet, PreviewProof)> = Vec::new();
        for set in &self.prepared {
            let proof = prove_preview(&counted, set, self.choice, &colours, self.viewing)?;
            if before.is_empty() {
                folder.png("intended", &proof.intended())?;
                folder.lab("intended", &proof, proof.pixels(|pixel| pixel.intended))?;
            }
            self.write_set(set, &proof, &mut folder)?;
            for (other, other_proof) in &before {
                let name = format!("{}.{}.difference", plain(&other.set().name), own_name(set));
                folder.png(&name, &maps::difference_between(other_proof, &proof))?;
            }
            before.push((set, proof));
        }
        Ok(folder.written)
    }

    fn write_set(
        &self,
        set: &PreparedSet,
        proof: &PreviewProof,
        folder: &mut Folder,
    ) -> Result<(), ShellError> {
        let name = own_name(set);
        let separation = set.separation_for(self.choice);
        folder.png(&format!("{name}.proof"), &proof.soft_proof())?;
        folder.png(&format!("{name}.difference"), &maps::difference_map(proof))?;
        folder.png(&format!("{name}.load"), &maps::load_map(proof, separation.limits()))?;
        folder.lab(&format!("{name}.asked"), proof, proof.pixels(|pixel| pixel.asked))?;
        folder.lab(&format!("{name}.predicted"), proof, proof.pixels(|pixel| pixel.printed))?;
        folder.lab(&format!("{name}.clipped"), proof, proof.pixels(|pixel| pixel.clipped))?;
        for (channel, ink) in set.set().inks.iter().enumerate() {
            if set.set().is_idle(ink, set.substrate()) {
                continue;
            }
            let name = format!("{name}.{}", plain(&ink.name));
            folder.png(&format!("{name}.gray"), &maps::separation_in_gray(proof, channel))?;
            if let Some(model) = separation.model() {
                let tinted = maps::separation_tinted(proof, channel, model, self.viewing);
                folder.png(&format!("{name}.tinted"), &tinted)?;
            }
        }
        Ok(())
    }
}

fn own_name(set: &PreparedSet) -> String {
    plain(&set.set().name)
}

/// A name with nothing in it that a folder could take for something else.
fn plain(name: &str) -> String {
    let kept = |letter: char| letter.is_alphanumeric() || "-_".contains(letter);
    name.chars().map(|letter| if kept(letter) { letter } else { '-' }).collect()
}

/// The folders of a run, one for each picture.
struct Folders<'a> {
    root: &'a Path,
    taken: Vec<String>,
}

impl Folders<'_> {
    /// Makes the folder of a picture: named after its file and page, with a number where two of a
    /// run have the same name.
    fn make(&mut self, picture: &str) -> Result<PathBuf, ShellError> {
        let stem = plain(picture);
        let numbered = |number: usize| format!("{stem}-{number}");
        let mut name = stem.clone();
        let mut number = 2;
        while self.taken.contains(&name) {
            name = numbered(number);
            number += 1;
        }
        let path = self.root.join(&name);
        self.taken.push(name);
        fs::create_dir_all(&path).map_err(|cause| unwritable(&path, &cause))?;
        Ok(path)
    }
}

/// The folder of one picture.
struct Folder {
    path: PathBuf,
    written: Vec<PathBuf>,
}

impl Folder {
    fn png(&mut self, name: &str, picture: &ScreenPicture) -> Result<(), ShellError> {
        self.write(&format!("{name}.png"), |to| {
            let png = PngPicture {
                width: picture.width,
                height: picture.height,
                colour: PngColour::Rgb,
                depth: BitDepth::Eight,
                resolution: None,
                profile: None,
            };
            png.write(to, |rows| {
                let mut all = picture.pixels.chunks(picture.width as usize);
                all.try_for_each(|row| rows.write_row(Row::Eight(row.as_flattened())))
            })
        })
    }

    /// A 16-bit CIELAB file.
    fn lab(
        &mut self,
        name: &str,
        proof: &PreviewProof,
        colours: Vec<Lab>,
    ) -> Result<(), ShellError> {
        self.write(&format!("{name}.tif"), |to| {
            let tiff = TiffPicture {
                width: proof.width(),
                height: proof.height(),
                colour: TiffColour::CieLab,
                depth: BitDepth::Sixteen,
                orientation: Orientation::Upright,
                resolution: None,
                profile: None,
            };
            let mut rows = tiff.start(to)?;
            for row in colours.chunks(proof.width() as usize) {
                let samples: Vec<u16> =
                    row.iter().flat_map(|colour| lab_samples(*colour)).collect();
                rows.write_row(Row::Sixteen(&samples))?;
            }
            rows.finish().map(drop)
        })
    }

    /// Writes a file, whole or not at all.
    fn write(
        &mut self,
        name: &str,
        fill: impl FnOnce(&mut BufWriter<&fs::File>) -> Result<(), PictureFileError>,
    ) -> Result<(), ShellError> {
        let path = self.path.join(name);
        let file = beside(&path).map_err(|cause| unwritable(&path, &cause))?;
        let mut buffered = BufWriter::new(file.as_file());
        fill(&mut buffered)
            .and_then(|()| Ok(io::Write::flush(&mut buffered)?))
            .map_err(|cause| ShellError::UnwrittenPicture { path: path.clone(), cause })?;
        drop(buffered);
        file.persist(&path).map_err(|fault| unwritable(&path, &fault.error))?;
        self.written.push(path);
        Ok(())
    }
}
