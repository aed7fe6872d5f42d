//! Where a quote stands, and what can follow.

use std::fmt;

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{RoundMode, Timestamp, TimestampRound, Unit};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Where a quote stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// It is worked on.
    Draft,
    /// It was given to the client, as it stands.
    Issued,
    /// The client has accepted it.
    Accepted,
    /// The client has declined it.
    Declined,
    /// Its last day is over, and nobody has accepted it.
    Lapsed,
}

/// What can be done with a quote.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// Its job is replaced or patched.
    Change,
    /// It is taken away.
    Delete,
    /// It is given to the client.
    Issue,
    /// The client accepts it.
    Accept,
    /// The client declines it.
    Decline,
    /// What the client has accepted is changed.
    Vary,
    /// It is proved to be what was issued.
    Prove,
}

/// The states, by their words.
pub const STATES: [(State, &str); 5] = [
    (State::Draft, "draft"),
    (State::Issued, "issued"),
    (State::Accepted, "accepted"),
    (State::Declined, "declined"),
    (State::Lapsed, "lapsed"),
];

impl State {
    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Draft => "draft",
            Self::Issued => "issued",
            Self::Accepted => "accepted",
            Self::Declined => "declined",
            Self::Lapsed => "lapsed",
        }
    }

    /// The state on a day: what was issued lapses after its last. It is never kept as lapsed.
    #[must_use]
    pub fn on(self, day: Date, valid_until: Option<Date>) -> Self {
        match (self, valid_until) {
            (Self::Issued, Some(last)) if last < day => Self::Lapsed,
            (Self::Draft | Self::Issued | Self::Accepted | Self::Declined | Self::Lapsed, _) => self,
        }
    }
}

impl fmt::Display for State {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

impl Step {
    /// The states that a quote can stand in for it.
    #[must_use]
    pub fn from(self) -> &'static [State] {
        match self {
            Self::Change | Self::Delete | Self::Issue => &[State::Draft],
            Self::Accept | Self::Decline => &[State::Issued],
            Self::Vary => &[State::Accepted],
            Self::Prove => &[State::Issued, State::Accepted, State::Declined, State::Lapsed],
        }
    }

    /// What is done, in a word that follows "is".
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Change => "changed",
            Self::Delete => "deleted",
            Self::Issue => "issued",
            Self::Accept => "accepted",
            Self::Decline => "declined",
            Self::Vary => "varied",
            Self::Prove => "proved",
        }
    }
}

/// The day of a moment where the firm works.
#[must_use]
pub fn day(moment: Timestamp) -> Date {
    moment.to_zoned_datetime(zone()).date()
}

/// The first moment of a day where the firm works.
#[must_use]
pub fn first_moment(day: Date) -> Timestamp {
    // a day without a first moment would lie beyond the calendar
    day.to_zoned_datetime(zone()).map_or(Timestamp::MAX, |zoned| zoned.timestamp())
}

fn zone() -> TimeZone {
    // the time zones are built in
    TimeZone::get("Europe/London").unwrap_or(TimeZone::UTC)
}

/// The moment that it is, as quotes tell it: the second that it lies in.
#[must_use]
pub fn now() -> Timestamp {
    let now = Timestamp::now();
    now.round(TimestampRound::new().smallest(Unit::Second).mode(RoundMode::Trunc)).unwrap_or(now)
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    #[test]
    fn days_are_those_of_the_united_kingdom() {
        let moment = |text: &str| text.parse::<Timestamp>().unwrap();
        // British summer time: an hour ahead of the world's
        assert_eq!(day(moment("2026-06-30T23:30:00Z")), date(2026, 7, 1));
        assert_eq!(day(moment("2026-12-31T23:30:00Z")), date(2026, 12, 31));
        assert_eq!(first_moment(date(2026, 7, 1)), moment("2026-06-30T23:00:00Z"));
        assert_eq!(first_moment(date(2026, 1, 1)), moment("2026-01-01T00:00:00Z"));
    }

    #[test]
    fn what_is_issued_lapses_after_its_last_day_and_nothing_else_does() {
        let last = date(2026, 3, 31);
        for (state, word) in STATES {
            assert_eq!(state.word(), word);
            assert_eq!(serde_json::to_value(state).unwrap(), word);
            assert_eq!(state.on(last, Some(last)), state);
            let lapses = state == State::Issued;
            assert_eq!(state.on(date(2026, 4, 1), Some(last)), if lapses { State::Lapsed } else { state });
            assert_eq!(state.on(date(2026, 4, 1), None), state);
        }
    }
}
