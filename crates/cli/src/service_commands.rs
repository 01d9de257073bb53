use std::env;
use std::fs;
use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use ledger::{CalendarDate, Ledger, Opening, StoredKey};
use service::{CountingOrder, MEMORY_HABITS, NewKey, Studio};
use tokio::runtime::Builder;

use crate::Exit;
use crate::output::{say, write_result};
use crate::prepared_sets::shared_cache;
use crate::service_arguments::{
    BackupArguments, CountUploadArguments, KeysCommand, ServeArguments,
};
use crate::shell_error::ShellError;

/// Threads that wait for disks or compute; our choice: more would only hold memory.
const MOST_THREADS: usize = 16;

/// `inkfathom serve`.
pub(crate) fn run_serve(arguments: &ServeArguments) -> Result<Exit, ShellError> {
    let mut sources = arguments.configuration.sources()?;
    if let Some(listen) = arguments.listen {
        sources.take_flag("listen", &listen.to_string());
    }
    if arguments.print_configuration {
        let printed = sources.printed();
        sources.finish().map_err(ShellError::Configuration)?;
        write_result(&printed, None)?;
        return Ok(Exit::Answered);
    }
    let configuration = sources.finish().map_err(ShellError::Configuration)?;
    let program = env::current_exe().map_err(|cause| ShellError::Service(cause.to_string()))?;
    keep_memory_well(&program);
    let studio = Studio::open(configuration, shared_cache(), program);
    let studio = Arc::new(studio.map_err(ShellError::Configuration)?);
    let runtime =
        Builder::new_multi_thread().enable_all().max_blocking_threads(MOST_THREADS).build();
    let runtime = runtime.map_err(|cause| ShellError::Service(cause.to_string()))?;
    let ready = |address| say("ready", &format!("http://{address}"));
    let served = service::serve(studio, studio_pages::routes(), stopped(), ready);
    let ended = runtime.block_on(served);
    // Threads that still compute for clients who were cut off are not waited for.
    runtime.shutdown_timeout(Duration::from_secs(1));
    ended.map(|()| Exit::Answered).map_err(ShellError::Service)
}

/// Becomes the same program with an environment that tells the C library how to keep memory, which is read
/// before `main` alone. Where that can't be done the service takes more memory and time.
#[cfg(target_os = "linux")]
fn keep_memory_well(program: &Path) {
    use std::os::unix::process::CommandExt as _;
    if MEMORY_HABITS.iter().any(|(name, _)| env::var_os(name).is_none()) {
        let again = std::process::Command::new(program)
            .args(env::args_os().skip(1))
            .envs(MEMORY_HABITS)
            .exec();
        say("warning", &format!("memory is not kept as it should be: {again}"));
    }
}

#[cfg(not(target_os = "linux"))]
fn keep_memory_well(_program: &Path) {}

/// Waits until somebody stops the service: by a key of the terminal, or as machines stop programs.
async fn stopped() {
    let terminal = tokio::signal::ctrl_c();
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut machine) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = machine.recv() => {}
                _ = terminal => {}
            }
            return;
        }
    }
    // Without a signal the service runs on.
    let _ = terminal.await;
}

/// `inkfathom keys`.
pub(crate) fn run_keys(command: &KeysCommand) -> Result<Exit, ShellError> {
    let configuration = match command {
        KeysCommand::Make { configuration, .. }
        | KeysCommand::List { configuration }
        | KeysCommand::Revoke { configuration, .. } => configuration.effective()?,
    };
    begin_folder(&configuration.data_folder)?;
    let mut ledger = Ledger::open(&configuration.ledger, Opening::OrNew)?;
    match command {
        KeysCommand::Make { role, label, .. } => {
            let key = NewKey::make().map_err(|problem| ShellError::Service(problem.detail))?;
            let number = ledger.add_key(label, (*role).into(), &key.hash(), now())?;
            say("note", &format!("key {number} is shown this once; only its hash is kept"));
            write_result(&format!("{}\n", key.text()), None)?;
        }
        KeysCommand::List { .. } => {
            let lines: Vec<String> = ledger.keys()?.iter().map(line).collect();
            write_result(&lines.concat(), None)?;
        }
        KeysCommand::Revoke { number, .. } => {
            if !ledger.revoke_key(*number, now())? {
                return Err(ShellError::NoSuchKey { number: *number });
            }
        }
    }
    Ok(Exit::Answered)
}

fn line(key: &StoredKey) -> String {
    let day = |seconds: u64| {
        let date = CalendarDate::from_days_since_1970(seconds / 86_400);
        date.map_or_else(String::new, |date| date.to_string())
    };
    let state = key.revoked_at.map_or_else(String::new, |at| format!(", void since {}", day(at)));
    let StoredKey { number, label, role, made_at, .. } = key;
    format!("{number}  {}  {label}  made {}{state}\n", role.word(), day(*made_at))
}

/// `inkfathom backup`.
pub(crate) fn run_backup(arguments: &BackupArguments) -> Result<Exit, ShellError> {
    let configuration = arguments.configuration.effective()?;
    if arguments.path.exists() {
        return Err(ShellError::Exists { path: arguments.path.clone() });
    }
    Ledger::open(&configuration.ledger, Opening::Existing)?.copy_to(&arguments.path)?;
    Ok(Exit::Answered)
}

/// `inkfathom count-upload`, which only the service calls.
pub(crate) fn run_count_upload(arguments: &CountUploadArguments) -> ExitCode {
    let order = CountingOrder {
        picture: arguments.picture.clone(),
        most_pixels: arguments.most_pixels,
        memory: arguments.memory,
        time: Duration::from_secs(arguments.seconds),
    };
    order.carry_out().into()
}

fn begin_folder(folder: &Path) -> Result<(), ShellError> {
    fs::create_dir_all(folder)
        .map_err(|cause| ShellError::Unwritable { path: folder.to_owned(), cause })
}

fn now() -> u64 {
    SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default().as_secs()
}
