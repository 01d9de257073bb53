use std::sync::Arc;

use axum::extract::{MatchedPath, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};

use crate::{Problem, ProblemClass, Studio};

/// What a browser may do with anything that the service sends: load the service's own script, style and
/// pictures, and nothing from anywhere else.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
    img-src 'self' data: blob:; connect-src 'self'; form-action 'self'; base-uri 'none'; \
    frame-ancestors 'none'";

const HEADERS: [(HeaderName, &str); 6] = [
    (HeaderName::from_static("content-security-policy"), POLICY),
    (HeaderName::from_static("x-content-type-options"), "nosniff"),
    (HeaderName::from_static("referrer-policy"), "no-referrer"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (HeaderName::from_static("permissions-policy"), "camera=(), microphone=(), geolocation=()"),
];

/// Guards every address: refuses what another site made a browser send, and says on every answer
/// what a browser may do with it.
pub(crate) async fn guard(
    State(studio): State<Arc<Studio>>,
    request: Request,
    next: Next,
) -> Response {
    let method = request.method().clone();
    let path = request.extensions().get::<MatchedPath>().map(|path| path.as_str().to_owned());
    let is_private = path.as_deref().is_some_and(|path| path.starts_with("/api/"));
    let mut response = match check_origin(&method, request.headers()) {
        Ok(()) => next.run(request).await,
        Err(problem) => problem.into_response(),
    };
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        if !headers.contains_key(&name) {
            headers.insert(name, HeaderValue::from_static(value));
        }
    }
    if is_private && !headers.contains_key(header::CACHE_CONTROL) {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    let status = response.status().as_u16();
    studio.metrics.count_request(known(&method), path.as_deref().unwrap_or("none"), status);
    response
}

/// Anybody can make up methods; the figures know the usual ones.
fn known(method: &Method) -> &'static str {
    match *method {
        Method::GET => "GET",
        Method::HEAD => "HEAD",
        Method::POST => "POST",
        Method::PUT => "PUT",
        Method::PATCH => "PATCH",
        Method::DELETE => "DELETE",
        Method::OPTIONS => "OPTIONS",
        _ => "other",
    }
}

/// Refuses a change that a page of another site asks for. Browsers say where a request comes from;
/// whoever sends neither that nor a cookie is no browser that could be misled.
fn check_origin(method: &Method, headers: &HeaderMap) -> Result<(), Problem> {
    if matches!(*method, Method::GET | Method::HEAD | Method::OPTIONS) {
        return Ok(());
    }
    let text = |name: HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
    let site = text(HeaderName::from_static("sec-fetch-site"));
    let same = match (text(header::ORIGIN), site) {
        (Some(origin), _) => {
            let host = origin.split_once("://").map(|(_, host)| host);
            host.is_some() && host == text(header::HOST)
        }
        (None, Some(site)) => matches!(site, "same-origin" | "none"),
        (None, None) => !headers.contains_key(header::COOKIE),
    };
    if same {
        return Ok(());
    }
    Err(Problem::new(
        ProblemClass::Forbidden,
        "the request comes from a page of another site; ask from this service's own pages, or with a \
         key and without cookies",
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(pairs: &[(&'static str, &'static str)]) -> HeaderMap {
        let pairs = pairs
            .iter()
            .map(|(name, value)| (HeaderName::from_static(name), HeaderValue::from_static(value)));
        pairs.collect()
    }

    #[test]
    fn another_sites_page_changes_nothing() {
        let allowed = |pairs: &[_]| check_origin(&Method::POST, &headers(pairs)).is_ok();
        let host = ("host", "studio.example:8317");
        assert!(allowed(&[host, ("origin", "https://studio.example:8317"), ("cookie", "a=b")]));
        assert!(!allowed(&[host, ("origin", "https://elsewhere.example"), ("cookie", "a=b")]));
        assert!(!allowed(&[host, ("origin", "null")]));
        assert!(!allowed(&[host, ("sec-fetch-site", "cross-site")]));
        assert!(!allowed(&[host, ("cookie", "a=b")]));
        assert!(allowed(&[host]));
        assert!(check_origin(&Method::GET, &headers(&[("origin", "https://x.example")])).is_ok());
    }
}
