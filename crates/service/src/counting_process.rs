use std::ffi::OsString;
use std::path::Path;
use std::process::{ExitStatus, Stdio};
use std::time::Duration;

use estimating::KeptPicture;
use tokio::io::{AsyncRead, AsyncReadExt as _};
use tokio::process::{Child, Command};
use tokio::time::timeout;

use crate::counting_worker::{COUNTED, CountingOrder, REFUSED, of_frame};
use crate::messages::tell;
use crate::{Problem, ProblemClass};

/// What the counting of a picture came to.
pub(crate) enum Counting {
    /// It is counted.
    Counted(KeptPicture),
    /// The file is at fault, or takes more than is allowed.
    Refused(Problem),
    /// The process was ended by something else.
    Failed(Problem),
    /// The process could not be started, or could not read the file: worth another try.
    NotTried(String),
}

/// Most bytes that a counting process may write. Our choice, above a census of two million single cells
/// and its preview.
const MOST_OUTPUT: u64 = 128 << 20;
/// Twice what one of a photograph writes, so that its bytes need not be moved while they come. Our choice.
const USUAL_OUTPUT: usize = 4 << 20;
/// Most of a message that is shown.
const MOST_MESSAGE: usize = 2000;
/// What the GNU C library of a service is told in the environment: one arena, so that no thread keeps
/// memory of its own, and blocks of 8 MB and what is free beyond 32 MB are given back (mallopt(3)).
/// Smaller blocks that were given back at once took a seventh of the time of an upload, for faults of
/// pages. Other libraries ignore it.
pub const MEMORY_HABITS: [(&str, &str); 3] = [
    ("MALLOC_ARENA_MAX", "1"),
    ("MALLOC_MMAP_THRESHOLD_", "8388608"),
    ("MALLOC_TRIM_THRESHOLD_", "33554432"),
];
/// The same for a counting process: it need not give memory back before it ends, and its pages are large
/// where the machine has them (the chapter on tunables of the library's manual).
const COUNTING_HABITS: [(&str, &str); 4] = [
    ("MALLOC_ARENA_MAX", "1"),
    ("MALLOC_MMAP_THRESHOLD_", "67108864"),
    ("MALLOC_TOP_PAD_", "8388608"),
    ("GLIBC_TUNABLES", "glibc.malloc.hugetlb=1"),
];
/// The name of the command that carries out an order.
pub(crate) const COUNTING_COMMAND: &str = "count-upload";

impl CountingOrder {
    /// Counts a picture in a process of its own. A process that takes too long is killed.
    pub(crate) async fn start(&self, program: &Path) -> Counting {
        let mut child = match self.command(program).spawn() {
            Ok(child) => child,
            Err(cause) => return Counting::NotTried(format!("{}: {cause}", program.display())),
        };
        let Some(output) = child.stdout.take() else {
            return Counting::NotTried("the counting process has no output".to_owned());
        };
        // The clock is more patient than the limit of the processors' time.
        let patience = self.time + Duration::from_secs(2);
        match timeout(patience, ended(&mut child, output)).await {
            Ok(Ok((status, output))) => self.result(status, output),
            Ok(Err(cause)) => Counting::NotTried(cause.to_string()),
            Err(_) => {
                // It may have ended in between.
                let _ = child.kill().await;
                Counting::Refused(self.too_long())
            }
        }
    }

    fn command(&self, program: &Path) -> Command {
        let mut command = Command::new(program);
        let numbers = [
            ("--most-pixels", self.most_pixels),
            ("--memory", self.memory),
            ("--seconds", self.time.as_secs()),
        ];
        command.arg(COUNTING_COMMAND);
        for (option, number) in numbers {
            command.arg(option).arg(number.to_string());
        }
        command.arg(OsString::from("--")).arg(&self.picture);
        command.env_clear().env("RAYON_NUM_THREADS", "1").envs(COUNTING_HABITS);
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::null());
        command.kill_on_drop(true);
        command
    }

    fn result(&self, status: ExitStatus, output: Vec<u8>) -> Counting {
        let code = status.code().and_then(|code| u8::try_from(code).ok());
        match code {
            Some(COUNTED) => match of_frame(output) {
                Some(kept) => Counting::Counted(kept),
                None => Counting::Failed(ended_early(status)),
            },
            Some(REFUSED) => {
                let message = String::from_utf8_lossy(&output);
                let message: String = message.chars().take(MOST_MESSAGE).collect();
                Counting::Refused(Problem::new(ProblemClass::Picture, message))
            }
            Some(crate::counting_worker::FAILED) => {
                Counting::NotTried(String::from_utf8_lossy(&output).into_owned())
            }
            _ => self.ended_by_signal(status),
        }
    }

    /// A process that asks for more than its limits is ended by a signal.
    fn ended_by_signal(&self, status: ExitStatus) -> Counting {
        #[cfg(unix)]
        {
            use rustix::process::Signal;
            use std::os::unix::process::ExitStatusExt as _;
            let signal = status.signal().and_then(Signal::from_named_raw);
            match signal {
                Some(Signal::XCPU) => return Counting::Refused(self.too_long()),
                Some(Signal::ABORT) => return Counting::Refused(self.too_much_memory()),
                _ => {}
            }
        }
        tell("fault", &format!("a counting process ended with {status}"));
        Counting::Failed(ended_early(status))
    }

    fn too_long(&self) -> Problem {
        let seconds = self.time.as_secs();
        Problem::new(
            ProblemClass::Picture,
            format!(
                "counting the picture took longer than {seconds} seconds, the most that this \
                 service allows; reduce the picture or save it in another format"
            ),
        )
    }

    fn too_much_memory(&self) -> Problem {
        let mebibytes = self.memory >> 20;
        Problem::new(
            ProblemClass::Picture,
            format!(
                "counting the picture takes more than {mebibytes} MiB of memory, the most that this \
                 service allows; save it without interlacing or progressive scans, or reduce it"
            ),
        )
    }
}

async fn ended(
    child: &mut Child,
    output: impl AsyncRead + Unpin,
) -> std::io::Result<(ExitStatus, Vec<u8>)> {
    let mut bytes = Vec::with_capacity(USUAL_OUTPUT);
    output.take(MOST_OUTPUT).read_to_end(&mut bytes).await?;
    // More than may be written has no reader any more, so that it ends either way.
    Ok((child.wait().await?, bytes))
}

fn ended_early(status: ExitStatus) -> Problem {
    // The number of a signal tells the studio more than it tells a stranger.
    tell("fault", &format!("a picture could not be counted: {status}"));
    Problem::new(
        ProblemClass::Worker,
        "the process that counted this picture ended before it was done; other pictures are not \
         concerned, save this one in another format",
    )
}
