//! A lane: places side by side, and how long one would wait for them.

use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use crate::http::error::ApiError;

/// What the newest piece of work counts in the mean of what work takes.
const NEWEST: f64 = 0.1;
/// The same in a lane of long work, where it took longer: what is long comes in crowds.
const NEWEST_LONGER: f64 = 0.5;

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
    /// Since when those run that do, in a lane of long work; from others work leaves before it is long.
    running: Option<Vec<Instant>>,
}

impl Load {
    /// What one takes, as far as is known: what runs already for longer takes longer (s).
    fn takes_s(&self) -> f64 {
        let longest = self.running.iter().flatten().map(Instant::elapsed).max().unwrap_or_default();
        self.mean_s.max(longest.as_secs_f64())
    }
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
        Self::of(places, Load { inside: 0.0, mean_s, running: None }, longest_wait)
    }

    /// For work of which nobody knows how long it takes.
    pub(super) fn long(places: usize, mean_s: f64, longest_wait: Duration) -> Self {
        Self::of(places, Load { inside: 0.0, mean_s, running: Some(Vec::new()) }, longest_wait)
    }

    fn of(places: usize, load: Load, longest_wait: Duration) -> Self {
        let count = f64::from(u32::try_from(places).unwrap_or(u32::MAX));
        Self { places: Arc::new(Semaphore::new(places)), count, load: Arc::new(Mutex::new(load)), longest_wait }
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
        let wait = self.wait();
        if wait > self.longest_wait {
            return Err(wait);
        }
        Ok(self.ticket())
    }

    /// How long one more would wait.
    pub(super) fn wait(&self) -> Duration {
        self.load(|load| {
            // nobody waits where a place is free
            let before = (load.inside - self.count + 1.0).max(0.0);
            Duration::from_secs_f64(before * load.takes_s() / self.count)
        })
    }

    /// Places that are free.
    #[cfg(test)]
    pub(super) fn free(&self) -> usize {
        self.places.available_permits()
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
        let begun = Instant::now();
        self.lane.load(|load| load.running.iter_mut().for_each(|running| running.push(begun)));
        Ok(Place { ticket: self, begun, _permit: place })
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
        self.ticket.lane.load(|load| {
            let is_longer = load.running.is_some() && took_s > load.mean_s;
            load.mean_s += if is_longer { NEWEST_LONGER } else { NEWEST } * (took_s - load.mean_s);
            if let Some(running) = &mut load.running
                && let Some(place) = running.iter().position(|begun| *begun == self.begun)
            {
                running.swap_remove(place);
            }
        });
    }
}
