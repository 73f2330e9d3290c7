//! Long work on threads of its own: the window's pool is small and must never wait.

use iced::Task;
use iced::futures::channel::oneshot;
use pacewright_desk::Problem;

/// Does something on a thread of its own and gives its outcome back as a message.
pub(super) fn off_thread<T, M>(
    job: impl FnOnce() -> Result<T, Problem> + Send + 'static,
    message: impl Fn(Result<T, Problem>) -> M + Send + 'static,
) -> Task<M>
where
    T: Send + 'static,
    M: Send + 'static,
{
    let (answer, answered) = oneshot::channel();
    let started = std::thread::Builder::new().name("work".to_owned()).spawn(move || {
        // nobody waits any more once the window is closed
        let _closed = answer.send(job());
    });
    let lost =
        || Err(Problem::new("The work broke off unexpectedly; nothing was changed. Try it again."));
    match started {
        Ok(_thread) => {
            Task::perform(answered, move |outcome| message(outcome.unwrap_or_else(|_| lost())))
        }
        Err(_) => Task::done(message(lost())),
    }
}
