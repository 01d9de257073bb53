//! A service that is killed at any moment, as by a power cut.
//!
//! Clients send pictures without pause while the service is killed (SIGKILL) and started anew on the same
//! data. Every upload that was accepted must be counted in the end, exactly once, with one first answer; every
//! upload that was not accepted must have left nothing behind.

use std::collections::BTreeSet;
use std::fs;
use std::net::SocketAddr;
use std::path::Path;
use std::thread;
use std::time::Duration;

use clap::Args;
use inkfathom_tests::RunningService;
use inkfathom_tests::http::Question;
use serde_json::Value;
use tempfile::TempDir;

use crate::bench_error::BenchError;
use crate::mosaic::Mosaic;
use crate::numbered_pictures::NumberedPictures;
use crate::program::Program;

/// Kill a service at any moment while it takes uploads in, and look what is left
///
/// Prints how many uploads were accepted and how they were found, as Markdown. Fails when one is lost or
/// doubled.
#[derive(Debug, Args)]
pub(crate) struct ServiceKills {
    /// Number of kills
    #[arg(long, value_name = "COUNT", default_value = "50",
          value_parser = clap::value_parser!(u32).range(1..=500))]
    kills: u32,
}

/// Soon counted, and large enough for several writes.
const PICTURE: Mosaic = Mosaic { width: 900, height: 600, fields: 2 };
/// Clients side by side.
const CLIENTS: u32 = 4;
/// Uploads of a client between two kills; it is mostly interrupted before.
const UPLOADS: u32 = 50;

impl ServiceKills {
    /// Kills, and describes what was found.
    pub(crate) fn run(&self) -> Result<String, BenchError> {
        let folder = TempDir::new().map_err(BenchError::file("a temporary folder"))?;
        let program = Program::build_alike(folder.path().join("cache"))?;
        let pictures = NumberedPictures::make(PICTURE, folder.path())?;
        let data = folder.path().join("data");
        let mut accepted = Vec::new();
        for kill in 0..self.kills {
            let service = started(&program, &data)?;
            let address = service.address;
            let (killed, taken) = thread::scope(|scope| {
                let pictures = &pictures;
                let clients: Vec<_> = (0..CLIENTS)
                    .map(|client| {
                        let first = (kill * CLIENTS + client) * UPLOADS;
                        scope.spawn(move || send_until_cut(address, pictures, first))
                    })
                    .collect();
                // Spread over a second, most of them early, where the first ones are written.
                thread::sleep(Duration::from_millis(u64::from(kill * 137 % 1000)));
                let killed = service.kill();
                let taken =
                    clients.into_iter().flat_map(|client| client.join().unwrap_or_default());
                (killed, taken.collect::<Vec<_>>())
            });
            killed.map_err(BenchError::service("a kill"))?;
            accepted.extend(taken);
        }
        let found = found(&program, &data, &accepted)?;
        Ok(format!(
            "# A killed service\n\n{} kills while {CLIENTS} clients sent pictures. {} uploads were accepted: \
             all are counted once, with one first answer each. Further {found} were kept although their \
             clients had no answer any more; they are counted, too. No file is left.\n",
            self.kills,
            accepted.len(),
        ))
    }
}

fn started(program: &Program, data: &Path) -> Result<RunningService, BenchError> {
    let service = RunningService::start(program.bare(), data, &RunningService::UNHINDERED);
    service.map_err(BenchError::service("its start"))
}

/// Sends pictures until the service is gone; gives the tokens of those that were accepted.
fn send_until_cut(address: SocketAddr, pictures: &NumberedPictures, first: u32) -> Vec<String> {
    let mut tokens = Vec::new();
    for number in first..first + UPLOADS {
        let path = format!("/api/v1/public/uploads?name={number}.jpg&width=20cm");
        let bytes = pictures.numbered(number);
        match Question::new("POST", &path).with(&bytes).ask(address) {
            Ok(answer) if answer.status == 202 => match &answer.json()["token"] {
                Value::String(token) => tokens.push(token.clone()),
                // The answer was cut: whether it was kept, this client can't know.
                _ => return tokens,
            },
            _ => return tokens,
        }
    }
    tokens
}

/// Looks at everything that is left; gives how many uploads were kept beyond those that were accepted.
fn found(program: &Program, data: &Path, accepted: &[String]) -> Result<usize, BenchError> {
    let wrong = |detail: String| BenchError::Service { detail };
    let service = started(program, data)?;
    let mut ids = BTreeSet::new();
    for token in accepted {
        let path = format!("/api/v1/shared/{token}");
        let form = service.counted(&path, None).map_err(BenchError::service("waiting"))?;
        if form["state"] != "counted" || !ids.insert(form["id"].to_string()) {
            return Err(wrong(format!("lost or doubled an accepted upload: {form}")));
        }
    }
    let key = key(program, data)?;
    let (mut names, mut after, mut all) = (BTreeSet::new(), String::new(), 0);
    loop {
        let path = format!("/api/v1/uploads?limit=200&after={after}");
        let page = asked(&service, &path, &key)?;
        for upload in page["uploads"].as_array().into_iter().flatten() {
            all += 1;
            let id = upload["id"].as_str().unwrap_or_default();
            let last = service
                .counted(&format!("/api/v1/uploads/{id}"), Some(&key))
                .map_err(BenchError::service("waiting"))?;
            let answers = asked(&service, &format!("/api/v1/uploads/{id}/answers"), &key)?;
            let is_once = names.insert(upload["name"].to_string());
            let is_answered = answers.as_array().is_some_and(|answers| answers.len() == 1);
            if last["state"] != "counted" || !is_once || !is_answered {
                return Err(wrong(format!("doubled or left an upload: {last} {answers}")));
            }
        }
        match page["next"].as_str() {
            Some(next) => next.clone_into(&mut after),
            None => break,
        }
    }
    let uploads = data.join("uploads");
    let files = fs::read_dir(&uploads).map_err(BenchError::file(&uploads))?.count();
    if files > 0 {
        return Err(wrong(format!("left {files} files behind")));
    }
    Ok(all - accepted.len())
}

fn asked(service: &RunningService, path: &str, key: &str) -> Result<Value, BenchError> {
    let question = Question::new("GET", path).header("Authorization", &format!("Bearer {key}"));
    let answer = service.ask(&question).map_err(BenchError::service("a question"))?;
    Ok(answer.json())
}

fn key(program: &Program, data: &Path) -> Result<String, BenchError> {
    let mut command = program.bare();
    command.args(["keys", "make", "--role", "studio", "--label", "of a proof", "--data-folder"]);
    let output = command.arg(data).output().map_err(BenchError::file("inkfathom"))?;
    Ok(String::from_utf8_lossy(&output.stdout).trim().to_owned())
}
