use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::{env, fs, io};

use inkfathom_tests::repository;
use serde_json::Value;

use crate::bench_error::BenchError;

/// The `inkfathom` command, with a cache of separations of its own.
#[derive(Clone, Debug)]
pub(crate) struct Program {
    path: PathBuf,
    cache: PathBuf,
}

impl Program {
    /// Builds the command for release with cargo, which puts it beside this program.
    pub(crate) fn build(cache: PathBuf) -> Result<Self, BenchError> {
        if cfg!(debug_assertions) {
            return Err(BenchError::DebugBuild);
        }
        Self::build_alike(cache)
    }

    /// Builds the command in this program's own profile, where time doesn't matter.
    pub(crate) fn build_alike(cache: PathBuf) -> Result<Self, BenchError> {
        let mut cargo = Command::new(env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
        cargo.args(["build", "--quiet", "--locked", "--package", "inkfathom"]);
        if !cfg!(debug_assertions) {
            cargo.arg("--release");
        }
        finished(cargo.current_dir(repository()))?;
        let own = env::current_exe().map_err(BenchError::file("this program"))?;
        let path = own.with_file_name(format!("inkfathom{}", env::consts::EXE_SUFFIX));
        Ok(Self { path, cache })
    }

    /// Forgets counted pictures, and keeps separations.
    pub(crate) fn forget_pictures(&self) -> Result<(), BenchError> {
        for name in ["pictures.sqlite", "pictures.sqlite-wal", "pictures.sqlite-shm"] {
            let path = self.cache.join("inkfathom").join(name);
            match fs::remove_file(&path) {
                Err(fault) if fault.kind() != io::ErrorKind::NotFound => {
                    return Err(BenchError::file(path)(fault));
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// A command that estimates pictures of 60 cm width and prints JSON.
    pub(crate) fn estimating(&self, pictures: &[PathBuf]) -> Command {
        let mut command = Command::new(&self.path);
        command.env("XDG_CACHE_HOME", &self.cache).arg("estimate").args(pictures);
        command.args(["--width", "60cm", "--format", "json"]);
        command
    }

    /// A command that estimates a picture of 60 cm width on an ink set and prints JSON.
    pub(crate) fn estimating_on(&self, picture: &Path, ink_set: &str) -> Command {
        let mut command = self.estimating(&[picture.to_owned()]);
        command.args(["--ink-set", ink_set]);
        command
    }

    /// A command that compares a picture of 60 cm width on ink sets and prints JSON.
    pub(crate) fn comparing(&self, picture: &Path, ink_sets: &[&str]) -> Command {
        let mut command = Command::new(&self.path);
        command.env("XDG_CACHE_HOME", &self.cache).arg("compare").arg(picture);
        command.args(["--width", "60cm", "--format", "json"]);
        command.args(ink_sets.iter().flat_map(|ink_set| ["--ink-set", ink_set]));
        command
    }

    /// The command alone, to which the caller adds everything.
    pub(crate) fn bare(&self) -> Command {
        let mut command = Command::new(&self.path);
        command.env("XDG_CACHE_HOME", &self.cache).current_dir(repository());
        command
    }

    /// Estimates a picture of 60 cm width on an ink set, and gives the total in millilitres.
    pub(crate) fn estimate(
        &self,
        picture: &Path,
        ink_set: &str,
        further: &[&str],
    ) -> Result<f64, BenchError> {
        let mut command = Command::new(&self.path);
        command.env("XDG_CACHE_HOME", &self.cache);
        command.arg("estimate").arg(picture).args(["--ink-set", ink_set, "--width", "60cm"]);
        command.args(["--format", "json"]).args(further);
        let output = finished(&mut command)?;
        let document: Value = serde_json::from_slice(&output.stdout).unwrap_or_default();
        document["files"][0]["estimates"][0]["total_ml"].as_f64().ok_or_else(|| {
            BenchError::Program {
                command: format!("{command:?}"),
                detail: "its JSON states no total".to_owned(),
            }
        })
    }
}

impl Program {
    /// Estimates the pictures of a folder, 60 cm wide; their JSON is thrown away.
    pub(crate) fn estimate_folder(
        &self,
        folder: &Path,
        further: &[&str],
    ) -> Result<(), BenchError> {
        let mut command = self.estimating(&[folder.to_owned()]);
        finished(command.args(further)).map(drop)
    }

    /// Runs a command on a ledger and gives its standard output.
    pub(crate) fn on_ledger(&self, words: &[&str], ledger: &Path) -> Result<String, BenchError> {
        let output = finished(&mut self.ledger_command(words, ledger))?;
        Ok(String::from_utf8_lossy(&output.stdout).into_owned())
    }

    /// Begins a command on a ledger.
    pub(crate) fn begun_on_ledger(
        &self,
        words: &[&str],
        ledger: &Path,
    ) -> Result<Child, BenchError> {
        let mut command = self.ledger_command(words, ledger);
        command.stderr(Stdio::null()).spawn().map_err(BenchError::file(&self.path))
    }

    fn ledger_command(&self, words: &[&str], ledger: &Path) -> Command {
        let mut command = Command::new(&self.path);
        command.env("XDG_CACHE_HOME", &self.cache).args(words).arg("--ledger").arg(ledger);
        command
    }
}

fn finished(command: &mut Command) -> Result<Output, BenchError> {
    let words = format!("{command:?}");
    let failed = |detail| BenchError::Program { command: words.clone(), detail };
    let output = command.output().map_err(|cause| failed(cause.to_string()))?;
    if output.status.success() {
        return Ok(output);
    }
    Err(failed(String::from_utf8_lossy(&output.stderr).into_owned()))
}
