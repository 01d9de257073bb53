use std::convert::Infallible;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::extract::Request;
use axum::http::HeaderValue;
use axum::middleware::from_fn_with_state;
use axum::response::{IntoResponse as _, Response};
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Semaphore;
use tokio::time::{sleep, timeout};
use tower::ServiceExt as _;
use tower_http::catch_panic::CatchPanicLayer;

use crate::api::api_routes;
use crate::caller::ClientAddress;
use crate::guarding::guard;
use crate::messages::tell;
use crate::{Problem, ProblemClass, Studio};

/// How long requests that have begun are waited for when the service stops. Our choice: longer than any
/// answer takes, shorter than a machine waits before it kills.
const STOPPING: Duration = Duration::from_secs(20);
/// How long accepting rests when the machine has no files left.
const REST: Duration = Duration::from_millis(50);
/// Longest head of a request in bytes; our choice, above what browsers send.
const LONGEST_HEAD: usize = 32 << 10;

/// All addresses of the service: its interface, and further ones such as pages.
///
/// # Errors
///
/// A description that can't be written, which is a fault of the program.
pub fn router(studio: &Arc<Studio>, further: Router<Arc<Studio>>) -> Result<Router, Problem> {
    let router = api_routes()?
        .merge(further)
        .fallback(|| async { Problem::unknown("address") })
        .method_not_allowed_fallback(|| async {
            Problem::new(
                ProblemClass::Method,
                "the address knows no such method; see /api/v1/openapi.json",
            )
        });
    Ok(router
        .layer(CatchPanicLayer::custom(|_| Problem::internal("an answer panicked").into_response()))
        .layer(from_fn_with_state(Arc::clone(studio), guard))
        .with_state(Arc::clone(studio)))
}

/// Serves until `stop` is done, then lets requests that have begun end. `ready` is told the address
/// that was taken.
///
/// # Errors
///
/// An address that can't be listened on.
pub async fn serve(
    studio: Arc<Studio>,
    further: Router<Arc<Studio>>,
    stop: impl Future<Output = ()>,
    ready: impl FnOnce(SocketAddr),
) -> Result<(), String> {
    let router = router(&studio, further).map_err(|problem| problem.detail)?;
    raise_file_limit(studio.configuration.most_connections);
    let listen = studio.configuration.listen;
    let listener = TcpListener::bind(listen).await;
    let listener = listener
        .map_err(|cause| format!("{listen}: {cause}; choose another address with `listen`"))?;
    // One more than there are processes: while one is counted, the one before is answered and kept.
    let counting: Vec<_> = (0..=studio.configuration.workers)
        .map(|_| tokio::spawn(Arc::clone(&studio).count_uploads()))
        .collect();
    ready(listener.local_addr().map_err(|cause| cause.to_string())?);
    let graceful = GracefulShutdown::new();
    tokio::select! {
        () = accept(&studio, &listener, &router, &graceful) => {}
        () = stop => {}
    }
    drop(listener);
    if timeout(STOPPING, graceful.shutdown()).await.is_err() {
        tell("warning", "some requests did not end in time and were cut off");
    }
    // What is being counted is taken up again at the next start.
    counting.iter().for_each(tokio::task::JoinHandle::abort);
    Ok(())
}

/// Each connection takes a file of the machine's, of which programs get few unless they ask.
#[cfg(unix)]
fn raise_file_limit(connections: usize) {
    use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};
    let wanted = connections as u64 + OTHER_FILES;
    let Rlimit { current, maximum } = getrlimit(Resource::Nofile);
    if current.is_some_and(|current| current < wanted) {
        let current = Some(maximum.map_or(wanted, |most| most.min(wanted)));
        if setrlimit(Resource::Nofile, Rlimit { current, maximum }).is_err() {
            tell("warning", "the machine grants no more open files");
        }
    }
}

#[cfg(not(unix))]
fn raise_file_limit(_connections: usize) {}

/// Files beside connections: uploads that come in, counting processes, the ledger. Our choice.
#[cfg(unix)]
const OTHER_FILES: u64 = 512;

async fn accept(
    studio: &Studio,
    listener: &TcpListener,
    router: &Router,
    graceful: &GracefulShutdown,
) {
    let places = Arc::new(Semaphore::new(studio.configuration.most_connections));
    loop {
        // Further clients wait in the machine's own queue.
        let Ok(place) = Arc::clone(&places).acquire_owned().await else { return };
        let (stream, address) = match listener.accept().await {
            Ok(accepted) => accepted,
            Err(cause) => {
                tell("warning", &format!("a connection was not accepted: {cause}"));
                sleep(REST).await;
                continue;
            }
        };
        let idle = studio.configuration.idle_patience;
        let connection = connection(idle, stream, address, router.clone());
        let watched = graceful.watch(connection);
        tokio::spawn(async move {
            // How a connection ends is its client's business.
            let _ = watched.await;
            drop(place);
        });
    }
}

fn connection(
    idle: Duration,
    stream: TcpStream,
    address: SocketAddr,
    router: Router,
) -> http1::Connection<
    TokioIo<TcpStream>,
    impl hyper::service::HttpService<Incoming, ResBody = Body, Error = Infallible, Future: Send>,
> {
    // Answers are small: they go out at once.
    let _ = stream.set_nodelay(true);
    let answer = service_fn(move |mut request: Request<Incoming>| {
        request.extensions_mut().insert(ClientAddress(address.ip()));
        let router = router.clone();
        async move {
            let mut response: Response = router.oneshot(request.map(Body::new)).await?;
            close_if_unread(&mut response);
            Ok::<_, Infallible>(response)
        }
    });
    http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(idle)
        .half_close(true)
        .max_buf_size(LONGEST_HEAD.max(64 << 10))
        .serve_connection(TokioIo::new(stream), answer)
}

/// After a refusal whose body was not read, the rest of the body can't be told from a new request.
fn close_if_unread(response: &mut Response) {
    let status = response.status().as_u16();
    if matches!(status, 400 | 408 | 413 | 507) {
        let close = HeaderValue::from_static("close");
        response.headers_mut().insert(axum::http::header::CONNECTION, close);
    }
}
