//! Where work is done: off the threads that serve connections, in two lanes, and turned away where it would wait too long.
//!
//! Computing begins in the quick lane, which has a place for every core. What is not over in a moment ([`Times::quick`]), or
//! brings a large document, goes on in the long lane, which has one place less: whoever asks little never waits for those
//! who ask much. How long work would wait is what lies before it by what such work took of late; where that is longer
//! than [`Times::wait`], by that or by the clock, it is turned away, with a time to ask again. What is only read back has a lane of its
//! own: it waits however long, and in nobody's way. Work ends at its next look at the watch once its client
//! is gone, its time is over or the service stops.

mod lane;
mod turn;

use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};

use actix_web::web;
use tokio_util::sync::CancellationToken;

pub use turn::Turn;

use super::error::ApiError;
use crate::settings::Times;
use lane::Lane;

/// Time that work may go on for after the service was told to stop.
const AFTER_STOP: Duration = Duration::from_secs(3);

/// What work took before any was done, in either lane (s).
const FIRST_S: [f64; 2] = [0.005, 1.0];

/// The two lanes.
#[derive(Debug, Clone)]
pub struct Work {
    quick: Lane,
    long: Lane,
    /// For what is read back.
    back: Lane,
    stop: Stop,
    times: Times,
}

/// Whether the service stops.
#[derive(Debug, Clone, Default)]
struct Stop {
    told: CancellationToken,
    /// When the last work ends.
    last: Arc<OnceLock<Instant>>,
}

impl Work {
    /// Lanes for every core of this machine.
    #[must_use]
    pub fn new(times: Times) -> Self {
        let cores = std::thread::available_parallelism().map_or(2, usize::from);
        let [quick_s, long_s] = FIRST_S;
        let quick = Lane::new(cores, quick_s, times.wait);
        let long = Lane::long(cores.saturating_sub(1).max(1), long_s, times.wait);
        let back = Lane::new(cores, quick_s, times.wait);
        Self { quick, long, back, stop: Stop::default(), times }
    }

    /// Does a piece of work in its turn.
    ///
    /// # Errors
    /// [`ApiError::Busy`] if it would wait too long, [`ApiError::OutOfTime`] if its time is over, [`ApiError::Stopping`] if the
    /// service stops before it is done, [`ApiError::Internal`] if it panics, or its own error.
    pub async fn run<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Arc<Turn>) -> Result<T, ApiError> + Send + 'static,
    ) -> Result<T, ApiError> {
        let ticket = self.quick.admit().map_err(ApiError::busy)?;
        let place = tokio::time::timeout(self.times.wait, ticket.place()).await;
        let place = place.map_err(|_| ApiError::busy(self.quick.wait()))??;
        self.begun(place, true, work).await
    }

    /// Reads something back: that waits for its turn, however long, and is never turned away.
    ///
    /// # Errors
    /// [`ApiError::Stopping`] if the service stops before it is done, [`ApiError::Internal`] if it panics, or its own error.
    pub async fn run_cheap<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Arc<Turn>) -> Result<T, ApiError> + Send + 'static,
    ) -> Result<T, ApiError> {
        let place = self.back.ticket().place().await?;
        self.begun(place, false, work).await
    }

    async fn begun<T: Send + 'static>(
        &self,
        place: lane::Place,
        may_be_long: bool,
        work: impl FnOnce(&Arc<Turn>) -> Result<T, ApiError> + Send + 'static,
    ) -> Result<T, ApiError> {
        let gone = CancellationToken::new();
        let turn = Arc::new(Turn::new(self, place, may_be_long, gone.clone()));
        // dropped with this future, as it is when the client has left
        let _here = gone.drop_guard();
        let done = web::block(move || {
            let done = work(&turn);
            turn.over(done)
        });
        done.await.map_err(|_| ApiError::Internal)?
    }

    /// Gives what runs a little time, and what waits for the long lane none: each is answered.
    pub fn stop(&self) {
        self.stop.last.get_or_init(|| Instant::now() + AFTER_STOP);
        self.stop.told.cancel();
    }
}

#[cfg(test)]
mod tests;
