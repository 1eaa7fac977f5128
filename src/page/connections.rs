//! Connections: accepted up to a limit, each with limits of its own, ended in an orderly way.

use std::net::{IpAddr, TcpListener};
use std::sync::Arc;
use std::sync::atomic::{AtomicU8, Ordering};
use std::time::Duration;

use anyhow::Context;
use axum::Router;
use axum::body::Body;
use axum::extract::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::{Service, service_fn};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use tokio::net::TcpStream;
use tokio::sync::{OwnedSemaphorePermit, Semaphore, mpsc, watch};

use super::desk::Desk;
use super::guard::Peer;
use super::resume::resume;
use super::routes;

/// Connections at once; a browser holds up to six.
const MOST: usize = 128;
/// Time for the head of a request, and between two on one connection.
const HEAD: Duration = Duration::from_secs(10);
/// Largest head of a request, about: hyper may have read as much once more when it looks.
const HEAD_BYTES: usize = 32 * 1024;
/// After a connection could not be accepted, for lack of files for example.
const BREATH: Duration = Duration::from_millis(100);
/// Status of a process that a signal ended: 128 and the signal's number, of SIGINT (common practice).
const ENDED_AT_ONCE: i32 = 130;

/// Ctrl-C, SIGTERM: the first asks to end what is under way, the second ends at once.
pub(super) fn stopped_by_signals() -> anyhow::Result<watch::Receiver<bool>> {
    let (told, stop) = watch::channel(false);
    let times = AtomicU8::new(0);
    ctrlc::set_handler(move || {
        if times.fetch_add(1, Ordering::Relaxed) > 0 {
            std::process::exit(ENDED_AT_ONCE);
        }
        // Nobody listens any more only when the server has ended already.
        let _ = told.send(true);
    })
    .context("Ctrl-C could not be taken over; start it again")?;
    Ok(stop)
}

/// Serves until told to stop; then requests under way have `last` to end.
pub(super) async fn run(
    desk: Arc<Desk>,
    listeners: Vec<TcpListener>,
    mut stop: watch::Receiver<bool>,
    last: Duration,
) -> anyhow::Result<()> {
    // Before anybody is served: whoever sends a photo from now on has it read, which warming up may outlast.
    let left = desk.checks.list();
    tokio::spawn(resume(Arc::clone(&desk), left));
    let router = routes::router(desk);
    let graceful = GracefulShutdown::new();
    let room = Arc::new(Semaphore::new(MOST));
    let (come, mut came) = mpsc::channel(1);
    for listener in listeners {
        let listener = tokio::net::TcpListener::from_std(listener)
            .context("the server could not listen; start it again")?;
        tokio::spawn(accept(listener, Arc::clone(&room), come.clone()));
    }
    loop {
        tokio::select! {
            Some(accepted) = came.recv() => serve(accepted, &router, &graceful),
            // Without a sender the signal handler is gone, which it never is.
            _ = stop.wait_for(|stop| *stop) => break,
        }
    }
    // Ends `accept`: nothing new comes in while the rest is ending.
    drop(came);
    // What has not ended by then is cut off; a phone sends it again.
    let _ = tokio::time::timeout(last, graceful.shutdown()).await;
    Ok(())
}

struct Accepted {
    stream: TcpStream,
    peer: IpAddr,
    place: OwnedSemaphorePermit,
}

/// Until nobody takes connections any more.
async fn accept(
    listener: tokio::net::TcpListener,
    room: Arc<Semaphore>,
    to: mpsc::Sender<Accepted>,
) {
    while !to.is_closed() {
        // A place first: what has none waits in the system's queue.
        let Ok(place) = Arc::clone(&room).acquire_owned().await else {
            return;
        };
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            () = to.closed() => return,
        };
        match accepted {
            Ok((stream, peer)) => {
                let peer = peer.ip();
                // Refused only when the server ends.
                let _ = to
                    .send(Accepted {
                        stream,
                        peer,
                        place,
                    })
                    .await;
            }
            Err(_) => tokio::time::sleep(BREATH).await,
        }
    }
}

fn serve(accepted: Accepted, router: &Router, graceful: &GracefulShutdown) {
    let Accepted {
        stream,
        peer,
        place,
    } = accepted;
    let inner = TowerToHyperService::new(router.clone());
    let service = service_fn(move |request: Request<Incoming>| {
        let mut request = request.map(Body::new);
        request.extensions_mut().insert(Peer(peer));
        inner.call(request)
    });
    // A small answer is not held back for a larger packet.
    let _ = stream.set_nodelay(true);
    let connection = http1::Builder::new()
        // hyper has no clock of its own to time the head by.
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD)
        .max_buf_size(HEAD_BYTES)
        .serve_connection(TokioIo::new(stream), service);
    let connection = graceful.watch(connection);
    tokio::spawn(async move {
        // A phone that goes away in the middle is no fault of the server's.
        let _ = connection.await;
        drop(place);
    });
}
