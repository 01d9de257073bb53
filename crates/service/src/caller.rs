use std::net::{IpAddr, Ipv4Addr};
use std::sync::Arc;

use axum::extract::{FromRequestParts, OptionalFromRequestParts};
use axum::http::request::Parts;
use axum::http::{HeaderMap, header};
use ledger::{Role, StoredKey};

use crate::clock::now;
use crate::secrets::{NewKey, hash_of};
use crate::{Problem, ProblemClass, Studio};

/// The cookie of a browser that has shown a key.
const COOKIE: &str = "inkfathom_session";

/// Where a request comes from, as the server's loop puts it beside the request.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ClientAddress(pub(crate) IpAddr);

/// Whoever asks, before anything is known of them but their address.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Visitor {
    /// For the limits of requests.
    pub(crate) address: IpAddr,
}

impl FromRequestParts<Arc<Studio>> for Visitor {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, studio: &Arc<Studio>) -> Result<Self, Problem> {
        Ok(Self { address: address(parts, studio) })
    }
}

/// The client's address, or that which the server in front tells, where it is trusted.
fn address(parts: &Parts, studio: &Studio) -> IpAddr {
    let told = parts.headers.get("x-forwarded-for").and_then(|value| value.to_str().ok());
    // The last one was added by the server in front; the others are anybody's words.
    let last = told.and_then(|told| told.rsplit(',').next()?.trim().parse().ok());
    let direct = parts.extensions.get::<ClientAddress>().map(|address| address.0);
    last.filter(|_| studio.configuration.trust_forwarded_for)
        .or(direct)
        .unwrap_or(IpAddr::V4(Ipv4Addr::UNSPECIFIED))
}

/// Somebody with a key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyHolder {
    /// The key.
    pub(crate) key: StoredKey,
}

impl KeyHolder {
    /// Whether the key is the studio's.
    #[must_use]
    pub fn is_studio(&self) -> bool {
        self.key.role == Role::Studio
    }
}

impl FromRequestParts<Arc<Studio>> for KeyHolder {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, studio: &Arc<Studio>) -> Result<Self, Problem> {
        let found = if let Some(key) = bearer(&parts.headers)? {
            studio.asking.lock().key_of_hash(&hash_of(key))?
        } else if let Some(session) = session(&parts.headers) {
            studio.asking.lock().key_of_session(&hash_of(session), now())?
        } else {
            return Err(unauthorised("give a key as `Authorization: Bearer inkf_…`"));
        };
        match found {
            Some(key) => Ok(Self { key }),
            None => {
                // Whoever tries keys in turn waits.
                studio.wrong_keys.take(address(parts, studio))?;
                Err(unauthorised("the key or session is not known here, or void; ask the studio"))
            }
        }
    }
}

impl OptionalFromRequestParts<Arc<Studio>> for KeyHolder {
    type Rejection = Problem;

    async fn from_request_parts(
        parts: &mut Parts,
        studio: &Arc<Studio>,
    ) -> Result<Option<Self>, Problem> {
        let found = <Self as FromRequestParts<_>>::from_request_parts(parts, studio).await;
        match found {
            Ok(holder) => Ok(Some(holder)),
            Err(problem) if problem.class == ProblemClass::Unauthorised => Ok(None),
            Err(problem) => Err(problem),
        }
    }
}

/// Somebody with a key of the studio: may do everything.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StudioUser {
    pub(crate) holder: KeyHolder,
}

impl FromRequestParts<Arc<Studio>> for StudioUser {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, studio: &Arc<Studio>) -> Result<Self, Problem> {
        let holder = <KeyHolder as FromRequestParts<_>>::from_request_parts(parts, studio).await?;
        if holder.is_studio() {
            return Ok(Self { holder });
        }
        Err(Problem::new(ProblemClass::Forbidden, "this takes a key of the role studio"))
    }
}

impl OptionalFromRequestParts<Arc<Studio>> for StudioUser {
    type Rejection = Problem;

    async fn from_request_parts(
        parts: &mut Parts,
        studio: &Arc<Studio>,
    ) -> Result<Option<Self>, Problem> {
        let found = <Self as FromRequestParts<_>>::from_request_parts(parts, studio).await;
        match found {
            Ok(user) => Ok(Some(user)),
            Err(problem)
                if matches!(
                    problem.class,
                    ProblemClass::Unauthorised | ProblemClass::Forbidden
                ) =>
            {
                Ok(None)
            }
            Err(problem) => Err(problem),
        }
    }
}

fn unauthorised(detail: &str) -> Problem {
    Problem::new(ProblemClass::Unauthorised, detail)
}

fn bearer(headers: &HeaderMap) -> Result<Option<&str>, Problem> {
    let Some(value) = headers.get(header::AUTHORIZATION) else { return Ok(None) };
    let text = value.to_str().ok().and_then(|text| text.split_once(' '));
    match text {
        Some((scheme, key)) if scheme.eq_ignore_ascii_case("bearer") => Ok(Some(key.trim())),
        _ => Err(unauthorised("give the key as `Authorization: Bearer inkf_…`")),
    }
}

fn session(headers: &HeaderMap) -> Option<&str> {
    let cookies = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
    let mut pairs = cookies.flat_map(|cookies| cookies.split(';'));
    pairs.find_map(|pair| {
        let (name, value) = pair.trim().split_once('=')?;
        (name == COOKIE).then_some(value)
    })
}

impl Studio {
    /// Opens a session for whoever shows a key of the studio, and gives the value of a `Set-Cookie`
    /// header.
    ///
    /// # Errors
    ///
    /// `Unauthorised` for a key that is not known or void, `Forbidden` for one of another role,
    /// `TooMany` after many wrong ones.
    pub async fn open_session(
        self: &Arc<Self>,
        visitor: Visitor,
        key: &str,
    ) -> Result<String, Problem> {
        let found = self.asking.lock().key_of_hash(&hash_of(key.trim()))?;
        let Some(found) = found else {
            self.wrong_keys.take(visitor.address)?;
            return Err(unauthorised("this key is not known here, or void; ask the studio"));
        };
        if found.role != Role::Studio {
            return Err(Problem::new(
                ProblemClass::Forbidden,
                "this key is not of the role studio",
            ));
        }
        let session = NewKey::make()?;
        let (hash, seconds) = (session.hash(), self.configuration.session_time.as_secs());
        self.writing_with(move |_, ledger| {
            Ok(ledger.open_session(&hash, found.number, now(), now() + seconds)?)
        })
        .await?;
        Ok(self.cookie(session.text(), seconds))
    }

    /// Ends the session of a request, and gives the value of a `Set-Cookie` header that forgets it.
    ///
    /// # Errors
    ///
    /// What the ledger refuses.
    pub async fn close_session(self: &Arc<Self>, headers: &HeaderMap) -> Result<String, Problem> {
        if let Some(session) = session(headers) {
            let hash = hash_of(session);
            self.writing_with(move |_, ledger| Ok(ledger.close_session(&hash)?)).await?;
        }
        Ok(self.cookie("", 0))
    }

    fn cookie(&self, value: &str, seconds: u64) -> String {
        let secure = if self.configuration.behind_tls { "; Secure" } else { "" };
        format!("{COOKIE}={value}; Path=/; HttpOnly; SameSite=Strict; Max-Age={seconds}{secure}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    #[test]
    fn a_session_is_found_among_other_cookies() {
        let mut headers = HeaderMap::new();
        let cookies = HeaderValue::from_static("theme=dark; inkfathom_session=inkf_x; other=1");
        headers.insert(header::COOKIE, cookies);
        assert_eq!(session(&headers), Some("inkf_x"));
    }

    #[test]
    fn another_scheme_than_bearer_is_no_key() {
        let mut headers = HeaderMap::new();
        headers.insert(header::AUTHORIZATION, HeaderValue::from_static("Basic abc"));
        assert!(bearer(&headers).is_err());
        headers.insert(header::AUTHORIZATION, HeaderValue::from_static("bearer inkf_x"));
        assert_eq!(bearer(&headers), Ok(Some("inkf_x")));
    }
}
