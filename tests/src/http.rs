//! A client of HTTP/1.1, no more than tests of a service on this machine need.

use std::fmt::Write as _;
use std::io::{self, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::Duration;

use serde_json::Value;

/// What a service answered.
#[derive(Clone, Debug)]
pub struct Answer {
    /// The status.
    pub status: u16,
    /// Names in lower case, and values.
    pub headers: Vec<(String, String)>,
    /// The body.
    pub body: Vec<u8>,
}

/// Longer than any answer here takes, shorter than anybody waits.
const HUNG: Duration = Duration::from_secs(120);

/// What is asked.
#[derive(Clone, Debug)]
pub struct Question<'a> {
    /// The method.
    pub method: &'a str,
    /// Path and query.
    pub path: &'a str,
    /// Headers beside `Host`, `Connection` and `Content-Length`.
    pub headers: Vec<(&'a str, String)>,
    /// The body.
    pub body: &'a [u8],
}

impl<'a> Question<'a> {
    /// A question without a body.
    #[must_use]
    pub fn new(method: &'a str, path: &'a str) -> Self {
        Self { method, path, headers: Vec::new(), body: &[] }
    }

    /// With a body.
    #[must_use]
    pub fn with(mut self, body: &'a [u8]) -> Self {
        self.body = body;
        self
    }

    /// With a header.
    #[must_use]
    pub fn header(mut self, name: &'a str, value: &str) -> Self {
        self.headers.push((name, value.to_owned()));
        self
    }

    /// The head as it goes over the wire, for a body of so many bytes.
    #[must_use]
    pub fn head(&self, length: usize) -> String {
        let mut head = format!(
            "{} {} HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n",
            self.method, self.path
        );
        for (name, value) in &self.headers {
            // Writing to a string can't fail.
            let _ = write!(head, "{name}: {value}\r\n");
        }
        if length > 0 || self.method == "POST" {
            let _ = write!(head, "Content-Length: {length}\r\n");
        }
        head + "\r\n"
    }

    /// Asks, and waits for the answer.
    ///
    /// # Errors
    ///
    /// What befalls the connection, and what is no answer.
    pub fn ask(&self, address: SocketAddr) -> io::Result<Answer> {
        let mut stream = connected(address)?;
        stream.write_all(self.head(self.body.len()).as_bytes())?;
        // A service may refuse before it has read everything.
        let sent = stream.write_all(self.body);
        read_answer(&mut stream).or_else(|fault| sent.and(Err(fault)))
    }
}

/// A connection that gives up after a while.
///
/// # Errors
///
/// What befalls it.
pub fn connected(address: SocketAddr) -> io::Result<TcpStream> {
    let stream = TcpStream::connect(address)?;
    stream.set_read_timeout(Some(HUNG))?;
    stream.set_write_timeout(Some(HUNG))?;
    Ok(stream)
}

/// Reads an answer to the end of its connection.
///
/// # Errors
///
/// What befalls the connection, and what is no answer.
pub fn read_answer(stream: &mut TcpStream) -> io::Result<Answer> {
    let mut bytes = Vec::new();
    match stream.read_to_end(&mut bytes) {
        // A service that refuses a long body resets the connection behind its answer.
        Err(_) if !bytes.is_empty() => {}
        read => drop(read?),
    }
    parsed(&bytes).ok_or_else(|| {
        let start = String::from_utf8_lossy(&bytes[..bytes.len().min(200)]).into_owned();
        io::Error::new(io::ErrorKind::InvalidData, format!("no answer: `{start}`"))
    })
}

fn parsed(bytes: &[u8]) -> Option<Answer> {
    let end = bytes.windows(4).position(|window| window == b"\r\n\r\n")?;
    let head = std::str::from_utf8(&bytes[..end]).ok()?;
    let mut lines = head.split("\r\n");
    let status = lines.next()?.split(' ').nth(1)?.parse().ok()?;
    let header = |line: &str| {
        let (name, value) = line.split_once(':')?;
        Some((name.to_ascii_lowercase(), value.trim().to_owned()))
    };
    let headers: Vec<(String, String)> = lines.filter_map(header).collect();
    let body = bytes[end + 4..].to_vec();
    Some(Answer { status, headers, body })
}

impl Answer {
    /// The value of a header.
    #[must_use]
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str())
    }

    /// The body as text.
    #[must_use]
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// The body as JSON; null for what is none.
    #[must_use]
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_default()
    }
}
