//! A service whose disk is full, and then is not.
//!
//! The data folder is a small file system in memory, in a name space of the service's own (Linux, `unshare`), so
//! that nothing else of the machine is filled. A full disk must be answered with 507 and leave nothing behind;
//! what was accepted before must be counted once there is room again, and further uploads must be taken.

use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::thread::sleep;
use std::time::Duration;

use clap::Args;
use inkfathom_tests::RunningService;
use inkfathom_tests::http::{Answer, Question};
use serde_json::json;
use tempfile::TempDir;

use crate::bench_error::BenchError;
use crate::mosaic::Mosaic;
use crate::numbered_pictures::NumberedPictures;
use crate::program::Program;

/// Fill the disk under a service, and look how it answers and recovers
///
/// Prints what was answered, as Markdown. Needs Linux with name spaces for users.
#[derive(Debug, Args)]
pub(crate) struct ServiceFullDisk {
    /// Size of the data folder in MiB
    #[arg(long, value_name = "MIB", default_value = "24",
          value_parser = clap::value_parser!(u32).range(16..=256))]
    size: u32,
}

const PICTURE: Mosaic = Mosaic { width: 1200, height: 800, fields: 2 };
/// Makes the file system and becomes the service.
const IN_MEMORY: &str = "mount -t tmpfs -o size=\"$1\"m tmpfs \"$2\" && shift 2 && exec \"$@\"";

impl ServiceFullDisk {
    /// Fills, and describes what was answered.
    pub(crate) fn run(&self) -> Result<String, BenchError> {
        let folder = TempDir::new().map_err(BenchError::file("a temporary folder"))?;
        let program = Program::build_alike(folder.path().join("cache"))?;
        let pictures = NumberedPictures::make(PICTURE, folder.path())?;
        let data = folder.path().join("data");
        fs::create_dir(&data).map_err(BenchError::file(&data))?;
        let started = RunningService::start(
            self.command(&program, &data),
            &data,
            &RunningService::UNHINDERED,
        );
        let service = started.map_err(BenchError::service("its start"))?;
        let first = accepted(&service, &pictures, 0)?;
        counted(&service, &first)?;
        // The folder as the service sees it.
        let inside = PathBuf::from(format!("/proc/{}/root{}", service.process(), data.display()));
        let ballast = inside.join("ballast");
        fill(&ballast).map_err(BenchError::file(&ballast))?;
        let refused = sent(&service, &pictures, 1)?;
        expect(&refused, 507)?;
        let left = fs::read_dir(inside.join("uploads")).map_err(BenchError::file(&inside))?.count();
        let asked = service
            .post(&format!("{first}/estimate"), &json!({"ink_set": ["five"], "width": "60cm"}));
        expect(&asked.map_err(BenchError::service("a question"))?, 200)?;
        // Room for the file of an upload, and none for its colours.
        shorten(&ballast, pictures.numbered(2).len() as u64 + ROOM_FOR_A_ROW)
            .map_err(BenchError::file(&ballast))?;
        let waiting = accepted(&service, &pictures, 2)?;
        sleep(Duration::from_secs(3));
        let held = service.get(&waiting).map_err(BenchError::service("a question"))?.json();
        fs::remove_file(&ballast).map_err(BenchError::file(&ballast))?;
        counted(&service, &waiting)?;
        counted(&service, &accepted(&service, &pictures, 3)?)?;
        if left > 0 {
            return Err(BenchError::Service {
                detail: format!("left {left} files of a refused upload"),
            });
        }
        Ok(format!(
            "# A full disk\n\nAn upload to the full disk was answered with 507 and left nothing behind; questions \
             about earlier ones were answered. One that was accepted with room for its file alone was {} while \
             the disk was full, and counted when there was room again, as was the next.\n",
            held["state"]
        ))
    }

    fn command(&self, program: &Program, data: &Path) -> Command {
        let mut command = Command::new("unshare");
        let bare = program.bare();
        command.args(["--user", "--map-root-user", "--mount", "sh", "-c", IN_MEMORY, "sh"]);
        command.arg(self.size.to_string()).arg(data).arg(bare.get_program());
        command.envs(bare.get_envs().filter_map(|(name, value)| Some((name, value?))));
        command
    }
}

/// A row of the ledger, with what its log takes.
const ROOM_FOR_A_ROW: u64 = 200 << 10;

fn sent(
    service: &RunningService,
    pictures: &NumberedPictures,
    number: u32,
) -> Result<Answer, BenchError> {
    let bytes = pictures.numbered(number);
    let asked = Question::new("POST", "/api/v1/public/uploads?name=a.jpg&width=20cm");
    service.ask(&asked.with(&bytes)).map_err(BenchError::service("an upload"))
}

fn expect(answer: &Answer, status: u16) -> Result<(), BenchError> {
    if answer.status == status {
        return Ok(());
    }
    let detail = format!("answered {} in place of {status}: {}", answer.status, answer.text());
    Err(BenchError::Service { detail })
}

/// Sends a picture that must be taken; gives the address of its link.
fn accepted(
    service: &RunningService,
    pictures: &NumberedPictures,
    number: u32,
) -> Result<String, BenchError> {
    let answer = sent(service, pictures, number)?;
    expect(&answer, 202)?;
    let form = answer.json();
    Ok(format!("/api/v1/shared/{}", form["token"].as_str().unwrap_or_default()))
}

fn counted(service: &RunningService, link: &str) -> Result<(), BenchError> {
    let form = service.counted(link, None).map_err(BenchError::service("waiting"))?;
    if form["state"] == "counted" {
        return Ok(());
    }
    Err(BenchError::Service { detail: format!("did not count an upload: {form}") })
}

/// Writes until nothing more can be written.
fn fill(ballast: &Path) -> io::Result<()> {
    let mut file = File::create(ballast)?;
    for piece in [1 << 16, 1 << 10, 1] {
        loop {
            match file.write_all(&vec![0; piece]) {
                Ok(()) => {}
                Err(cause) if cause.kind() == io::ErrorKind::StorageFull => break,
                Err(cause) => return Err(cause),
            }
        }
    }
    Ok(())
}

fn shorten(ballast: &Path, by: u64) -> io::Result<()> {
    let file = File::options().write(true).open(ballast)?;
    let length = file.metadata()?.len();
    file.set_len(length.saturating_sub(by))
}
