use std::io::{self, BufRead, BufReader, Read};
use std::net::SocketAddr;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::http::{Answer, Question};

/// A service of a test, on a free port of this machine; it ends with the test.
#[derive(Debug)]
pub struct RunningService {
    child: Child,
    /// Where it listens.
    pub address: SocketAddr,
}

/// Longer than counting a test's picture takes.
const HUNG: Duration = Duration::from_secs(120);

impl RunningService {
    /// Settings under which limits of requests get in nobody's way.
    pub const UNHINDERED: [&str; 3] = [
        "public_uploads_per_hour=100000",
        "public_uploads_at_once=10000",
        "public_questions_per_hour=10000000",
    ];

    /// Starts `command`, which must begin with `serve`'s program, on a data folder.
    ///
    /// # Errors
    ///
    /// A service that doesn't say where it listens, with what it says.
    pub fn start(mut command: Command, data: &Path, settings: &[&str]) -> io::Result<Self> {
        command.args(["serve", "--listen", "127.0.0.1:0", "--data-folder"]).arg(data);
        for setting in settings {
            command.args(["--set", setting]);
        }
        command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped());
        let mut child = command.spawn()?;
        let messages = child.stderr.take().map(BufReader::new);
        let mut messages = messages.ok_or_else(|| io::Error::other("no messages"))?;
        let mut said = String::new();
        loop {
            let mut line = String::new();
            if messages.read_line(&mut line)? == 0 {
                child.wait()?;
                return Err(io::Error::other(format!("the service ended: {said}")));
            }
            if let Some(place) = line.trim().strip_prefix("ready: http://") {
                let address = place.parse().map_err(io::Error::other)?;
                // Nobody listens any more, but the service must be able to speak.
                thread::spawn(move || io::copy(&mut messages.by_ref(), &mut io::sink()));
                return Ok(Self { child, address });
            }
            said.push_str(&line);
        }
    }

    /// Asks.
    ///
    /// # Errors
    ///
    /// What befalls the connection.
    pub fn ask(&self, question: &Question<'_>) -> io::Result<Answer> {
        question.ask(self.address)
    }

    /// Asks for an address without a body.
    ///
    /// # Errors
    ///
    /// What befalls the connection.
    pub fn get(&self, path: &str) -> io::Result<Answer> {
        self.ask(&Question::new("GET", path))
    }

    /// Asks a question in JSON.
    ///
    /// # Errors
    ///
    /// What befalls the connection.
    pub fn post(&self, path: &str, question: &Value) -> io::Result<Answer> {
        let body = question.to_string();
        let asked = Question::new("POST", path).header("Content-Type", "application/json");
        self.ask(&asked.with(body.as_bytes()))
    }

    /// Waits until the upload at an address is done, and gives its last form.
    ///
    /// # Errors
    ///
    /// What befalls a connection, and an upload that is never done.
    pub fn counted(&self, path: &str, key: Option<&str>) -> io::Result<Value> {
        let begun = Instant::now();
        let mut pause = Duration::from_millis(30);
        loop {
            let mut question = Question::new("GET", path);
            if let Some(key) = key {
                question = question.header("Authorization", &format!("Bearer {key}"));
            }
            let form = self.ask(&question)?.json();
            if !matches!(form["state"].as_str(), Some("received" | "counting")) {
                return Ok(form);
            }
            if begun.elapsed() > HUNG {
                return Err(io::Error::other(format!("it is never done: {form}")));
            }
            thread::sleep(pause);
            // Many that wait would keep the service busy with being asked.
            pause = (2 * pause).min(Duration::from_millis(500));
        }
    }

    /// Number of the process.
    #[must_use]
    pub fn process(&self) -> u32 {
        self.child.id()
    }

    /// Ends the process at once, as a power cut would.
    ///
    /// # Errors
    ///
    /// What the machine refuses.
    pub fn kill(mut self) -> io::Result<()> {
        self.child.kill()?;
        self.child.wait().map(drop)
    }

    /// Asks the process to end, and waits; gives its exit code.
    ///
    /// # Errors
    ///
    /// What the machine refuses.
    pub fn stop(mut self) -> io::Result<Option<i32>> {
        let number = self.child.id().to_string();
        Command::new("kill").args(["-TERM", &number]).status()?;
        Ok(self.child.wait()?.code())
    }
}

impl Drop for RunningService {
    fn drop(&mut self) {
        // It may have ended already.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
