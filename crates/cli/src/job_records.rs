use std::cell::RefCell;
use std::fs;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use estimating::{CountedPicture, PrintSize, RenderingChoice, SizeRequest};
use inkset::{InkSet, nearest_name};
use intake::{IntakeError, Limits, Picture};
use ledger::{Job, JobRow, Ledger, Readings};
use units::Length;

use crate::estimating_commands::threads;
use crate::ink_set_source::read_ink_set;
use crate::input::open_file;
use crate::kept_censuses::KeptCensuses;
use crate::separation_words::{policy, rendering};

/// Turns rows into jobs: finds the picture, the ink set and the size of each.
pub(crate) struct JobRecorder<'a> {
    /// Where relative paths begin.
    pub(crate) folder: &'a Path,
    /// Ink sets by the name that rows call them; filled while rows are checked.
    pub(crate) sets: RefCell<Vec<(String, Rc<InkSet>)>>,
}

/// A row whose facts have been checked; its picture is open but not decoded.
pub(crate) struct CheckedRow {
    row: JobRow,
    set: Rc<InkSet>,
    substrate: String,
    print_mode: String,
    picture: Found,
}

/// The picture of a row.
enum Found {
    File(PathBuf),
    /// The file is gone; its census is kept.
    Kept([u8; 32]),
}

impl JobRecorder<'_> {
    /// Checks what can be checked before anything is decoded or written: every fault at once.
    pub(crate) fn check(
        &self,
        row: JobRow,
        ledger: Option<&Ledger>,
    ) -> Result<CheckedRow, Vec<String>> {
        let set = self.ink_set(&row.ink_set).map_err(|fault| vec![fault])?;
        let mut faults = unknown_inks(&set, &row.readings);
        let mut name = |found: Result<String, String>| {
            found.map_err(|fault| faults.push(fault)).unwrap_or_default()
        };
        let words = |fault: inkset::InkSetError| fault.to_string();
        let substrate = name(
            set.substrate(row.substrate.as_deref()).map(|one| one.name.clone()).map_err(words),
        );
        let print_mode = name(
            set.print_mode(row.print_mode.as_deref()).map(|one| one.name.clone()).map_err(words),
        );
        name(rendering(row.rendering.as_deref().unwrap_or("relative")).map(|_| String::new()));
        name(policy(row.policy.as_deref().unwrap_or_default()).map(|_| String::new()));
        match self.picture(&row, ledger) {
            Ok(picture) if faults.is_empty() => {
                Ok(CheckedRow { row, set, substrate, print_mode, picture })
            }
            Ok(_) => Err(faults),
            Err(fault) => {
                faults.push(fault);
                Err(faults)
            }
        }
    }

    fn ink_set(&self, name: &str) -> Result<Rc<InkSet>, String> {
        if let Some((_, set)) = self.sets.borrow().iter().find(|(known, _)| known == name) {
            return Ok(Rc::clone(set));
        }
        let beside = self.folder.join(name);
        let source = if beside.is_file() { beside.display().to_string() } else { name.to_owned() };
        let set = read_ink_set(&source).map_err(|fault| fault.to_string())?.set;
        let set = Rc::new(set);
        self.sets.borrow_mut().push((name.to_owned(), Rc::clone(&set)));
        Ok(set)
    }

    /// Opens the picture, so that a file that can't be read or has another hash is told first.
    fn picture(&self, row: &JobRow, ledger: Option<&Ledger>) -> Result<Found, String> {
        let path = self.folder.join(&row.file);
        let wanted = row.content_hash.as_deref().map(hash_of_text).transpose()?;
        match (open_picture(&path), wanted) {
            (Ok(picture), None) => checked_size(&picture, row).map(|()| Found::File(path)),
            (Ok(picture), Some(hash)) if picture.content_hash.as_bytes() == &hash => {
                checked_size(&picture, row).map(|()| Found::File(path))
            }
            (Ok(picture), Some(_)) => Err(format!(
                "{} has the hash {}, not `content_hash`; it has changed since",
                row.file, picture.content_hash
            )),
            (Err(_), Some(hash))
                if is_kept(ledger, &hash) && row.width.is_some() && row.height.is_some() =>
            {
                Ok(Found::Kept(hash))
            }
            (Err(fault), _) => Err(format!("{}: {fault}", row.file)),
        }
    }
}

impl CheckedRow {
    /// Counts the picture's colours, keeps them, and completes the job.
    pub(crate) fn record(self, censuses: &KeptCensuses) -> Result<Job, String> {
        let request = SizeRequest { width: self.row.width, height: self.row.height };
        let (content_hash, width, height) = match &self.picture {
            Found::Kept(hash) => {
                let side = |side: Option<Length>| side.ok_or("a side is missing");
                (*hash, side(self.row.width)?, side(self.row.height)?)
            }
            Found::File(path) => {
                let picture = open_picture(path).map_err(|fault| fault.to_string())?;
                let counted =
                    CountedPicture::recall_or_count(picture, None, None, threads(), censuses)
                        .map_err(|fault| format!("{}: {fault}", self.row.file))?;
                let size = PrintSize::of(&counted, request).map_err(|fault| fault.to_string())?;
                (*counted.content_hash.as_bytes(), size.width, size.height)
            }
        };
        let Self { row, set, substrate, print_mode, .. } = self;
        Ok(Job {
            printed_on: row.date,
            picture: row.file,
            content_hash,
            fingerprint: set.fingerprint().to_string(),
            ink_set: set.name.clone(),
            substrate,
            print_mode,
            rendering: row.rendering.unwrap_or_else(|| "relative".to_owned()),
            policy: row.policy.unwrap_or_default(),
            width,
            height,
            copies: row.copies,
            measured_by: row.measured_by,
            resolution: row.resolution,
            includes: row.includes,
            readings: row.readings,
            note: row.note,
        })
    }
}

/// Without a size of the job, the file must state one: better told before anything is decoded.
fn checked_size(picture: &Picture, row: &JobRow) -> Result<(), String> {
    if row.width.is_none() && row.height.is_none() && picture.resolution.is_none() {
        return Err(format!(
            "{} states no resolution; give `width_mm` or `height_mm`, --width or --height",
            row.file
        ));
    }
    Ok(())
}

fn unknown_inks(set: &InkSet, readings: &Readings) -> Vec<String> {
    let Readings::ByInk(readings) = readings else { return Vec::new() };
    let names = || set.inks.iter().map(|ink| ink.name.as_str());
    let unknown = readings.iter().filter(|(ink, _)| !names().any(|name| name == ink));
    let mut faults: Vec<String> = unknown
        .map(|(ink, _)| {
            let nearest = nearest_name(ink, names())
                .map_or_else(String::new, |name| format!(", did you mean `{name}`?"));
            let all = names().collect::<Vec<_>>().join(", ");
            format!("ink set `{}` has no ink `{ink}` ({all}){nearest}", set.name)
        })
        .collect();
    for (place, (ink, _)) in readings.iter().enumerate() {
        if readings[..place].iter().any(|(other, _)| other == ink) {
            faults.push(format!("ink `{ink}` is read twice; keep one reading"));
        }
    }
    faults
}

fn is_kept(ledger: Option<&Ledger>, hash: &[u8; 32]) -> bool {
    ledger.is_some_and(|ledger| matches!(ledger.census(hash), Ok(Some(_))))
}

/// The rendering of a recorded job.
pub(crate) fn recorded_rendering(job: &Job) -> Result<RenderingChoice, String> {
    rendering(&job.rendering)
}

fn hash_of_text(text: &str) -> Result<[u8; 32], String> {
    let wrong = || format!("`content_hash` is `{text}`; write 64 hexadecimal digits");
    let digits = text.as_bytes();
    if digits.len() != 64 || !digits.iter().all(u8::is_ascii_hexdigit) {
        return Err(wrong());
    }
    let mut hash = [0; 32];
    for (byte, place) in hash.iter_mut().zip((0..64).step_by(2)) {
        *byte = u8::from_str_radix(&text[place..place + 2], 16).map_err(|_| wrong())?;
    }
    Ok(hash)
}

/// Opens a picture by its path.
fn open_picture(path: &Path) -> Result<Picture, IntakeError> {
    intake::open(open_file(path)?, &Limits::default())
}

/// Reads a table's text.
pub(crate) fn table_text(path: &Path) -> std::io::Result<String> {
    fs::read_to_string(path)
}
