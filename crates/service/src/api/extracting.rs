use std::sync::Arc;

use axum::extract::{FromRequest, FromRequestParts, Path, Request};
use axum::http::header;
use axum::http::request::Parts;
use serde::de::DeserializeOwned;
use tokio::time::timeout;

use crate::receiving::unknown_field;
use crate::{Problem, ProblemClass, Studio, WhatIf};

/// A JSON body, within bounds of size and time.
pub(crate) struct JsonBody<T>(pub(crate) T);

/// Most bytes of a JSON body: a question takes a few hundred. Our choice.
const MOST_BYTES: usize = 64 << 10;

impl<T: DeserializeOwned> FromRequest<Arc<Studio>> for JsonBody<T> {
    type Rejection = Problem;

    async fn from_request(request: Request, studio: &Arc<Studio>) -> Result<Self, Problem> {
        let kind = request.headers().get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
        let kind = kind.unwrap_or_default().split(';').next().unwrap_or_default().trim();
        if !kind.eq_ignore_ascii_case("application/json") {
            return Err(Problem::new(
                ProblemClass::Kind,
                "send JSON, with the header `Content-Type: application/json`",
            ));
        }
        let patience = studio.configuration.client_patience;
        let read = axum::body::to_bytes(request.into_body(), MOST_BYTES);
        let bytes = timeout(patience, read).await.map_err(|_| {
            let seconds = patience.as_secs();
            let detail = format!("the question did not come in {seconds} seconds; ask again");
            Problem::new(ProblemClass::Timeout, detail)
        })?;
        let bytes = bytes.map_err(|fault| unreadable(&fault))?;
        serde_json::from_slice(&bytes).map(Self).map_err(|fault| {
            Problem::new(ProblemClass::Usage, format!("the JSON can't be read: {fault}"))
        })
    }
}

fn unreadable(fault: &axum::Error) -> Problem {
    use std::error::Error as _;
    let too_long =
        fault.source().is_some_and(|cause| cause.is::<http_body_util::LengthLimitError>());
    if too_long {
        let detail = format!("the question has more than {MOST_BYTES} bytes; ask for less");
        return Problem::new(ProblemClass::TooLarge, detail);
    }
    Problem::new(ProblemClass::WrongLength, "the body ended before its stated length")
}

/// The pairs of a query, in their order.
pub(crate) struct Query(Vec<(String, String)>);

impl FromRequestParts<Arc<Studio>> for Query {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, _studio: &Arc<Studio>) -> Result<Self, Problem> {
        let query = parts.uri.query().unwrap_or_default();
        Ok(Self(form_urlencoded::parse(query.as_bytes()).into_owned().collect()))
    }
}

impl Query {
    /// A value by its name, taken out; the last one where there are several.
    pub(crate) fn take(&mut self, name: &str) -> Option<String> {
        let place = self.0.iter().rposition(|(known, _)| known == name)?;
        let (_, value) = self.0.swap_remove(place);
        self.0.retain(|(known, _)| known != name);
        Some(value).filter(|value| !value.is_empty())
    }

    /// A number by its name.
    pub(crate) fn take_number(&mut self, name: &str) -> Result<Option<u32>, Problem> {
        let number = self.take(name).map(|text| {
            text.parse().map_err(|_| {
                let text: String = text.chars().take(60).collect();
                let detail = format!("{name} is `{text}`; write a whole number");
                Problem::new(ProblemClass::Usage, detail)
            })
        });
        number.transpose()
    }

    /// One of a few words by its name.
    pub(crate) fn take_word<T: Copy>(
        &mut self,
        name: &str,
        words: &[(&str, T)],
    ) -> Result<Option<T>, Problem> {
        self.take(name).map(|text| word(name, &text, words)).transpose()
    }

    /// The question that the rest makes.
    pub(crate) fn what_if(self) -> Result<WhatIf, Problem> {
        let mut what_if = WhatIf::default();
        for (name, value) in self.0 {
            if !what_if.take(&name, &value)? {
                return Err(unknown_field(&name));
            }
        }
        Ok(what_if)
    }

    /// Refuses names that nobody took.
    pub(crate) fn end(self) -> Result<(), Problem> {
        self.0.first().map_or(Ok(()), |(name, _)| Err(unknown_field(name)))
    }
}

/// One of a few words.
pub(crate) fn word<T: Copy>(name: &str, text: &str, words: &[(&str, T)]) -> Result<T, Problem> {
    let known = words.iter().find(|(known, _)| *known == text);
    known.map(|(_, meant)| *meant).ok_or_else(|| {
        let words: Vec<&str> = words.iter().map(|(known, _)| *known).collect();
        let text: String = text.chars().take(60).collect();
        let detail = format!("{name} is `{text}`; write one of {}", words.join(", "));
        Problem::new(ProblemClass::Usage, detail)
    })
}

/// A part of the address that must be one of what the service knows.
pub(crate) struct Named(pub(crate) String);

impl FromRequestParts<Arc<Studio>> for Named {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, studio: &Arc<Studio>) -> Result<Self, Problem> {
        let path = Path::<String>::from_request_parts(parts, studio).await;
        path.map(|Path(name)| Self(name)).map_err(|_| Problem::unknown("address"))
    }
}

/// Two parts of the address.
pub(crate) struct NamedPair(pub(crate) String, pub(crate) String);

impl FromRequestParts<Arc<Studio>> for NamedPair {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, studio: &Arc<Studio>) -> Result<Self, Problem> {
        let path = Path::<(String, String)>::from_request_parts(parts, studio).await;
        path.map(|Path((one, other))| Self(one, other)).map_err(|_| Problem::unknown("address"))
    }
}
