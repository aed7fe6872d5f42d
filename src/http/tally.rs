//! What is turned away, counted: a line for each kind once in a while, however many there are.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use actix_web::http::StatusCode;

/// What lies between two lines of a kind.
const BETWEEN: Duration = Duration::from_secs(10);

/// What is counted, by its status, and what is said of it.
const COUNTED: [(StatusCode, &str); 7] = [
    (StatusCode::BAD_REQUEST, "requests could not be read"),
    (StatusCode::UNAUTHORIZED, "requests did not bring the key"),
    (StatusCode::REQUEST_TIMEOUT, "requests stopped coming"),
    (StatusCode::MISDIRECTED_REQUEST, "requests named a host that is not known here"),
    (StatusCode::UNPROCESSABLE_ENTITY, "documents were refused for their faults"),
    (StatusCode::REQUEST_HEADER_FIELDS_TOO_LARGE, "requests had too long a head"),
    (StatusCode::SERVICE_UNAVAILABLE, "questions were turned away unanswered"),
];

/// What was turned away since it was last told.
#[derive(Debug, Default)]
pub struct Tally([AtomicU64; COUNTED.len()]);

impl Tally {
    /// Counts an answer.
    pub fn count(&self, status: StatusCode) {
        let counted = self.0.iter().zip(COUNTED).find(|(_, (counted, _))| *counted == status);
        if let Some((count, _)) = counted {
            count.fetch_add(1, Ordering::Relaxed);
        }
    }

    /// Tells the log what was counted since it was last told.
    pub fn tell(&self) {
        for (count, (status, what)) in self.since() {
            tracing::warn!(count, status = status.as_u16(), "{what}");
        }
    }

    fn since(&self) -> Vec<(u64, (StatusCode, &'static str))> {
        let taken = self.0.iter().map(|count| count.swap(0, Ordering::Relaxed));
        taken.zip(COUNTED).filter(|(count, _)| *count > 0).collect()
    }

    /// Tells the log, over and over.
    pub async fn keep_telling(self: Arc<Self>) {
        loop {
            tokio::time::sleep(BETWEEN).await;
            self.tell();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_turned_away_is_counted_once_and_the_rest_is_not() {
        let tally = Tally::default();
        for status in [StatusCode::OK, StatusCode::UNAUTHORIZED, StatusCode::NOT_FOUND, StatusCode::UNAUTHORIZED] {
            tally.count(status);
        }
        assert_eq!(tally.since(), [(2, (StatusCode::UNAUTHORIZED, "requests did not bring the key"))]);
        assert_eq!(tally.since(), []);
    }
}
