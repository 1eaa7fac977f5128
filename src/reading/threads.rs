//! Which threads a thread's work may use, and two pieces of work side by side on them.

use std::cell::RefCell;
use std::num::NonZero;
use std::panic::resume_unwind;
use std::sync::{Arc, LazyLock};
use std::thread;

use rten::ThreadPool;

/// Threads that belong to one thread's work alone.
#[derive(Clone)]
struct Share {
    threads: usize,
    pool: Arc<ThreadPool>,
}

thread_local! {
    /// All cores where there is none.
    static SHARE: RefCell<Option<Share>> = const { RefCell::new(None) };
}

static CORES: LazyLock<usize> =
    LazyLock::new(|| thread::available_parallelism().map_or(1, NonZero::get));

/// How many threads this thread's work may use.
pub(crate) fn count() -> usize {
    SHARE.with_borrow(|share| share.as_ref().map_or(*CORES, |s| s.threads))
}

/// Those that networks run on; all cores where there are none.
pub(super) fn pool() -> Option<Arc<ThreadPool>> {
    SHARE.with_borrow(|share| share.as_ref().map(|s| Arc::clone(&s.pool)))
}

/// Does work on so many threads. With as many such works as cores more threads would only wait for each other.
pub(crate) fn with<T>(threads: usize, work: impl FnOnce() -> T) -> T {
    let pool = Arc::new(ThreadPool::with_num_threads(threads));
    let _restored = Restore(SHARE.replace(Some(Share { threads, pool })));
    work()
}

/// Puts the threads back that there were, also where work panics: the panic is caught photo by photo, and the
/// thread goes on to others.
struct Restore(Option<Share>);

impl Drop for Restore {
    fn drop(&mut self) {
        SHARE.set(self.0.take());
    }
}

/// Both, side by side where there is more than one thread, each on half of them: two networks that share all of
/// them wait for each other. A panic of either goes on here.
pub(crate) fn beside<A, B: Send>(
    first: impl FnOnce() -> A,
    second: impl FnOnce() -> B + Send,
) -> (A, B) {
    let half = count() / 2;
    if half == 0 {
        return (first(), second());
    }
    thread::scope(|scope| {
        let second = scope.spawn(|| with(half, second));
        let first = with(half, first);
        let second = second.join();
        (first, second.unwrap_or_else(|panic| resume_unwind(panic)))
    })
}

#[cfg(test)]
mod tests {
    use std::panic::catch_unwind;

    use super::*;

    #[test]
    fn work_that_panics_gives_the_threads_back() {
        let all = count();
        let broken = catch_unwind(|| {
            with(1, || {
                assert_eq!(count(), 1);
                resume_unwind(Box::new("work that breaks off"));
            });
        });
        assert!(broken.is_err());
        assert_eq!(count(), all);
        assert!(pool().is_none());
        // Within such work the threads given back are the one.
        with(1, || {
            with(1, || ());
            assert_eq!(count(), 1);
        });
    }

    #[test]
    fn both_are_done_on_half_of_the_threads_each_and_panics_go_on() {
        with(4, || assert_eq!(beside(count, count), (2, 2)));
        with(1, || assert_eq!(beside(count, count), (1, 1)));
        let broken = || resume_unwind(Box::new("work that breaks off"));
        let caught = catch_unwind(|| with(2, || beside(|| (), broken)));
        assert!(caught.is_err());
    }
}
