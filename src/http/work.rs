//! Where work is done: off the threads that serve connections, in a queue that sheds what it cannot hold.

use std::sync::Arc;
use std::time::{Duration, Instant};

use actix_web::web;
use tokio::sync::Semaphore;

use super::error::ApiError;

/// A bounded queue before the pool of blocking threads.
#[derive(Debug, Clone)]
pub struct Work {
    admitted: Arc<Semaphore>,
    running: Arc<Semaphore>,
    longest: Duration,
}

impl Work {
    /// A queue that holds so many pieces of work, waiting and running, each of which may run so long.
    #[must_use]
    pub fn new(queue: usize, longest: Duration) -> Self {
        let cores = std::thread::available_parallelism().map_or(2, usize::from);
        Self { admitted: Arc::new(Semaphore::new(queue)), running: Arc::new(Semaphore::new(cores)), longest }
    }

    /// Does a piece of work, which is told by when it must be over. Time in the queue is not counted: whoever asks much at
    /// once waits, and is answered.
    ///
    /// # Errors
    /// [`ApiError::Busy`] if the queue is full, [`ApiError::Internal`] if the work panics, or its own error.
    pub async fn run<T: Send + 'static>(
        &self,
        work: impl FnOnce(Instant) -> Result<T, ApiError> + Send + 'static,
    ) -> Result<T, ApiError> {
        let _place = self.admitted.clone().try_acquire_owned().map_err(|_| ApiError::Busy)?;
        let turn = self.running.clone().acquire_owned().await.map_err(|_| ApiError::Busy)?;
        let longest = self.longest;
        let done = web::block(move || {
            let done = work(Instant::now() + longest);
            drop(turn);
            done
        });
        done.await.map_err(|_| ApiError::Internal)?
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LONGEST: Duration = Duration::from_mins(1);

    #[actix_web::test]
    async fn sheds_what_it_cannot_hold_and_survives_a_panic() {
        let work = Work::new(0, LONGEST);
        assert!(matches!(work.run(|_| Ok(1)).await, Err(ApiError::Busy)));
        let work = Work::new(1, LONGEST);
        assert!(matches!(work.run::<()>(|_| panic!("a fault of the program")).await, Err(ApiError::Internal)));
        assert!(matches!(work.run(|_| Ok(1)).await, Ok(1)));
    }
}
