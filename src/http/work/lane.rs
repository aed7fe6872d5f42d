//! A lane: places side by side, and how long one would wait for them.

use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use crate::http::error::ApiError;

/// What the newest piece of work counts in the mean of what work takes.
const NEWEST: f64 = 0.1;

/// Places side by side.
#[derive(Debug, Clone)]
pub(super) struct Lane {
    places: Arc<Semaphore>,
    count: f64,
    load: Arc<Mutex<Load>>,
    longest_wait: Duration,
}

/// What is in a lane, waiting and running.
#[derive(Debug)]
struct Load {
    /// Pieces of work.
    inside: f64,
    /// What one took of late (s).
    mean_s: f64,
}

/// Stands for a piece of work that is in a lane, from when it comes until it is over or leaves.
#[derive(Debug)]
pub(super) struct Ticket {
    lane: Lane,
}

/// A piece of work that runs.
#[derive(Debug)]
pub(super) struct Place {
    ticket: Ticket,
    begun: Instant,
    _permit: OwnedSemaphorePermit,
}

impl Lane {
    pub(super) fn new(places: usize, mean_s: f64, longest_wait: Duration) -> Self {
        let count = f64::from(u32::try_from(places).unwrap_or(u32::MAX));
        let load = Arc::new(Mutex::new(Load { inside: 0.0, mean_s }));
        Self { places: Arc::new(Semaphore::new(places)), count, load, longest_wait }
    }

    fn load<R>(&self, look: impl FnOnce(&mut Load) -> R) -> R {
        // two figures are whole whoever panicked between them
        look(&mut self.load.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// Lets a piece of work in whose wait is short enough.
    ///
    /// # Errors
    /// How long it would wait.
    pub(super) fn admit(&self) -> Result<Ticket, Duration> {
        self.load(|load| {
            // nobody waits where a place is free
            let before = (load.inside - self.count + 1.0).max(0.0);
            let wait = Duration::from_secs_f64(before * load.mean_s / self.count);
            if wait > self.longest_wait {
                return Err(wait);
            }
            load.inside += 1.0;
            Ok(Ticket { lane: self.clone() })
        })
    }

    /// Whether a place is free.
    #[cfg(test)]
    pub(super) fn is_free(&self) -> bool {
        self.places.available_permits() > 0
    }

    /// Lets a piece of work in, however long it waits.
    pub(super) fn ticket(&self) -> Ticket {
        self.load(|load| load.inside += 1.0);
        Ticket { lane: self.clone() }
    }
}

impl Ticket {
    /// Waits for a place.
    pub(super) async fn place(self) -> Result<Place, ApiError> {
        // nobody closes the semaphore
        let place = self.lane.places.clone().acquire_owned().await.map_err(|_| ApiError::Internal)?;
        Ok(Place { ticket: self, begun: Instant::now(), _permit: place })
    }
}

impl Drop for Ticket {
    fn drop(&mut self) {
        self.lane.load(|load| load.inside -= 1.0);
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let took_s = self.begun.elapsed().as_secs_f64();
        self.ticket.lane.load(|load| load.mean_s += NEWEST * (took_s - load.mean_s));
    }
}
