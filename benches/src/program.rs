use std::env;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

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
        let mut cargo = Command::new(env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
        cargo.args(["build", "--quiet", "--release", "--locked", "--package", "inkfathom"]);
        finished(cargo.current_dir(repository()))?;
        let own = env::current_exe().map_err(BenchError::file("this program"))?;
        let path = own.with_file_name(format!("inkfathom{}", env::consts::EXE_SUFFIX));
        Ok(Self { path, cache })
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

fn finished(command: &mut Command) -> Result<Output, BenchError> {
    let words = format!("{command:?}");
    let failed = |detail| BenchError::Program { command: words.clone(), detail };
    let output = command.output().map_err(|cause| failed(cause.to_string()))?;
    if output.status.success() {
        return Ok(output);
    }
    Err(failed(String::from_utf8_lossy(&output.stderr).into_owned()))
}
