use std::time::{Duration, Instant};

use axum::body::{Body, Bytes};
use axum::extract::multipart::{Field, MultipartError};
use http_body_util::BodyExt as _;
use tokio::fs::File;
use tokio::io::AsyncWriteExt as _;
use tokio::time::timeout;

use crate::upload_folder::UnfinishedFile;
use crate::{Problem, ProblemClass};

/// Bytes of a stranger, piece by piece.
pub(crate) enum Pieces<'a> {
    /// The body of a request.
    Body(Box<Body>),
    /// A file among the fields of a form.
    Field(Box<Field<'a>>),
}

/// How long a client is waited for, and how much it may send.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Patience {
    /// Between two pieces.
    pub(crate) silence: Duration,
    /// Slowest pace in bytes a second, from the time on that a silence may last.
    pub(crate) least_pace: u64,
    pub(crate) most_bytes: u64,
}

/// What has come in.
pub(crate) struct Arrived {
    pub(crate) bytes: u64,
    pub(crate) hash: [u8; 32],
}

/// Pieces are gathered to this size before they are hashed and written.
const WRITTEN_AT_ONCE: usize = 256 << 10;

impl Pieces<'_> {
    async fn next(&mut self) -> Result<Option<Bytes>, Problem> {
        match self {
            Self::Field(field) => field.chunk().await.map_err(|fault| of_multipart(&fault)),
            Self::Body(body) => loop {
                match body.frame().await {
                    None => return Ok(None),
                    Some(Err(_)) => return Err(cut()),
                    // Trailers say nothing here.
                    Some(Ok(frame)) => {
                        if let Ok(bytes) = frame.into_data() {
                            return Ok(Some(bytes));
                        }
                    }
                }
            },
        }
    }

    /// Writes everything to a file as it comes, with bounded memory, and returns when it outlives a
    /// crash.
    pub(crate) async fn write_to(
        &mut self,
        file: &UnfinishedFile,
        patience: &Patience,
    ) -> Result<Arrived, Problem> {
        let mut out = File::create(&file.path).await.map_err(|cause| Problem::of_file(&cause))?;
        let mut hasher = blake3::Hasher::new();
        let mut gathered = Vec::with_capacity(WRITTEN_AT_ONCE);
        let (mut bytes, begun) = (0, Instant::now());
        while let Some(piece) = self.patiently(patience, bytes, begun).await? {
            bytes += piece.len() as u64;
            if bytes > patience.most_bytes {
                return Err(too_large(patience.most_bytes));
            }
            gathered.extend_from_slice(&piece);
            if gathered.len() >= WRITTEN_AT_ONCE {
                hasher.update(&gathered);
                out.write_all(&gathered).await.map_err(|cause| Problem::of_file(&cause))?;
                gathered.clear();
            }
        }
        hasher.update(&gathered);
        out.write_all(&gathered).await.map_err(|cause| Problem::of_file(&cause))?;
        out.flush().await.map_err(|cause| Problem::of_file(&cause))?;
        out.sync_all().await.map_err(|cause| Problem::of_file(&cause))?;
        Ok(Arrived { bytes, hash: hasher.finalize().into() })
    }

    /// A small text, such as a field of a form.
    pub(crate) async fn text(
        &mut self,
        patience: &Patience,
        most_bytes: usize,
    ) -> Result<String, Problem> {
        let (mut gathered, begun) = (Vec::new(), Instant::now());
        while let Some(piece) = self.patiently(patience, gathered.len() as u64, begun).await? {
            if gathered.len() + piece.len() > most_bytes {
                return Err(too_large(most_bytes as u64));
            }
            gathered.extend_from_slice(&piece);
        }
        String::from_utf8(gathered)
            .map_err(|_| Problem::new(ProblemClass::Usage, "a text is not in UTF-8; send it so"))
    }

    async fn patiently(
        &mut self,
        patience: &Patience,
        bytes: u64,
        begun: Instant,
    ) -> Result<Option<Bytes>, Problem> {
        let late = begun.elapsed().saturating_sub(patience.silence).as_secs();
        if late.saturating_mul(patience.least_pace) > bytes {
            return Err(too_slow(patience));
        }
        timeout(patience.silence, self.next()).await.map_err(|_| too_slow(patience))?
    }
}

impl<'a> From<Field<'a>> for Pieces<'a> {
    fn from(field: Field<'a>) -> Self {
        Self::Field(Box::new(field))
    }
}

impl From<Body> for Pieces<'_> {
    fn from(body: Body) -> Self {
        Self::Body(Box::new(body))
    }
}

fn cut() -> Problem {
    Problem::new(
        ProblemClass::WrongLength,
        "the body ended before its stated length; send the whole file",
    )
}

pub(crate) fn of_multipart(fault: &MultipartError) -> Problem {
    match fault.status().as_u16() {
        413 => Problem::new(ProblemClass::TooLarge, "the form is larger than is taken"),
        _ => Problem::new(
            ProblemClass::WrongLength,
            format!(
                "the form can't be read: {}; send it as multipart/form-data",
                fault.body_text()
            ),
        ),
    }
}

fn too_large(most_bytes: u64) -> Problem {
    let most = if most_bytes >= 1 << 20 {
        format!("{} MiB", most_bytes >> 20)
    } else {
        format!("{most_bytes} bytes")
    };
    Problem::new(
        ProblemClass::TooLarge,
        format!("more than {most} were sent, the most that is taken; send a smaller file"),
    )
}

fn too_slow(patience: &Patience) -> Problem {
    let (seconds, pace) = (patience.silence.as_secs(), patience.least_pace >> 10);
    Problem::new(
        ProblemClass::Timeout,
        format!(
            "nothing came for {seconds} seconds, or less than {pace} KiB a second; send the file \
             again over a better connection"
        ),
    )
}
