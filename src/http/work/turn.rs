//! The turn of one piece of work: which lane it runs in, and why it ends before it is done.

use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use tokio::runtime::Handle;
use tokio_util::sync::CancellationToken;

use super::lane::{Lane, Place};
use super::{Stop, Work};
use crate::http::error::ApiError;
use crate::methods::Watch;
use crate::settings::Times;

/// The turn of one piece of work. It watches what is computed in it.
#[derive(Debug)]
pub struct Turn {
    state: Mutex<State>,
    long: Lane,
    /// Whether its client has left.
    gone: CancellationToken,
    stop: Stop,
    times: Times,
}

#[derive(Debug)]
struct State {
    /// Where it runs; none while it waits for the long lane.
    place: Option<Place>,
    /// Whether it is in the quick lane and may leave it.
    may_change: bool,
    begun: Instant,
    /// Time that it waited since.
    waited: Duration,
    ended: Option<Ended>,
}

/// Why a turn is over before its work is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Ended {
    /// Nobody waits for it.
    Gone,
    /// The service stops.
    Stopping,
    /// It took too long.
    Late,
    /// It would have to wait too long for the long lane.
    Busy(Duration),
}

impl Turn {
    pub(super) fn new(work: &Work, place: Place, may_be_long: bool, gone: CancellationToken) -> Self {
        let (begun, waited) = (Instant::now(), Duration::ZERO);
        let state = State { place: Some(place), may_change: may_be_long, begun, waited, ended: None };
        let Work { long, stop, times, .. } = work.clone();
        Self { state: Mutex::new(state), long, gone, stop, times }
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Goes on to the next step of the work, if anybody still waits for it; in the long lane where it has become long.
    ///
    /// # Errors
    /// Why it does not go on; a step that is not searched is let come to its end, however late.
    pub fn step(&self) -> Result<(), ApiError> {
        let mut state = self.state();
        let is_long = state.may_change && state.begun.elapsed() >= self.times.quick;
        self.look(&mut state, is_long)
    }

    /// Goes on in the long lane: what comes is known to take long.
    ///
    /// # Errors
    /// As [`Turn::step`].
    pub fn lengthen(&self) -> Result<(), ApiError> {
        let mut state = self.state();
        let may_change = state.may_change;
        self.look(&mut state, may_change)
    }

    fn look(&self, state: &mut State, becomes_long: bool) -> Result<(), ApiError> {
        if state.ended.is_none() {
            if self.gone.is_cancelled() {
                state.ended = Some(Ended::Gone);
            } else if self.stop.last.get().is_some_and(|last| Instant::now() >= *last) {
                state.ended = Some(Ended::Stopping);
            } else if becomes_long {
                state.ended = self.change_lanes(state).err();
            }
        }
        state.ended.map_or(Ok(()), |ended| Err(ended.into()))
    }

    /// Leaves the quick lane and waits for the long one, on the thread of the work.
    fn change_lanes(&self, state: &mut State) -> Result<(), Ended> {
        let since = Instant::now();
        let ticket = self.long.admit().map_err(Ended::Busy)?;
        state.may_change = false;
        drop(state.place.take());
        let place = Handle::current().block_on(async {
            tokio::select! {
                // a place that is free is taken
                biased;
                place = ticket.place() => place.map_err(|_| Ended::Stopping),
                () = self.gone.cancelled() => Err(Ended::Gone),
                () = self.stop.told.cancelled() => Err(Ended::Stopping),
                // it was thought to wait for less
                () = tokio::time::sleep(self.times.wait) => Err(Ended::Busy(self.long.wait())),
            }
        })?;
        state.place = Some(place);
        state.waited += since.elapsed();
        Ok(())
    }

    /// What is answered once the work is over.
    pub(super) fn over<T>(&self, done: Result<T, ApiError>) -> Result<T, ApiError> {
        let mut state = self.state();
        drop(state.place.take());
        match (done, state.ended) {
            (Ok(done), _) => Ok(done),
            // whatever it made of that: the work is not at fault
            (Err(_), Some(ended)) => Err(ended.into()),
            (Err(error), None) => Err(error),
        }
    }
}

impl Watch for Turn {
    fn goes_on(&self) -> bool {
        if self.step().is_err() {
            return false;
        }
        let mut state = self.state();
        if state.begun.elapsed().saturating_sub(state.waited) >= self.times.work {
            state.ended = Some(Ended::Late);
        }
        state.ended.is_none()
    }
}

impl From<Ended> for ApiError {
    fn from(ended: Ended) -> Self {
        match ended {
            // nobody reads it
            Ended::Gone | Ended::Late => Self::OutOfTime,
            Ended::Stopping => Self::Stopping,
            Ended::Busy(wait) => Self::busy(wait),
        }
    }
}
