//! Failures of the layers below, on their way to the asker.

use super::{ApiError, QuoteProblem, Stale};
use crate::proposal::{OutOfTime, ProposalError};
use crate::quotes::QuoteError;
use crate::render::json::NotWritten;
use crate::store::StoreError;

impl From<ProposalError> for ApiError {
    fn from(error: ProposalError) -> Self {
        match error.into_faults() {
            Ok(document) => Self::Faults { document, query: Vec::new() },
            Err(late) => late.into(),
        }
    }
}

impl From<OutOfTime> for ApiError {
    fn from(OutOfTime: OutOfTime) -> Self {
        Self::OutOfTime
    }
}

impl From<StoreError> for ApiError {
    /// What is wrong with the store is for those who run it, in the log.
    fn from(error: StoreError) -> Self {
        match &error {
            StoreError::Moved { .. } => return QuoteProblem::Stale { why: Stale::Moved }.into(),
            StoreError::Lost { .. } => {
                tracing::error!(%error, "a quote is asked for that is lost");
                return Self::Damaged;
            }
            StoreError::Answered => return QuoteProblem::KeyRunning.into(),
            StoreError::Full => return Self::DiskFull,
            StoreError::ReadOnly => return Self::ReadOnly,
            StoreError::Folder { .. } | StoreError::Damaged(_) | StoreError::Failed(_) => {}
        }
        tracing::error!(%error, "the store does not answer");
        Self::NotReady
    }
}

impl From<QuoteError> for ApiError {
    fn from(error: QuoteError) -> Self {
        tracing::error!(%error, "a quote cannot be written or read");
        Self::Internal
    }
}

impl From<NotWritten> for ApiError {
    fn from(error: NotWritten) -> Self {
        tracing::error!(%error, "an answer was withheld");
        Self::Internal
    }
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use actix_web::ResponseError as _;
    use actix_web::http::header::RETRY_AFTER;

    use super::*;
    use crate::design::DesignError;
    use crate::methods::MethodError;

    /// What a search that a method gave up is answered with.
    fn answered(error: MethodError) -> ApiError {
        ProposalError::from(DesignError::at("/pipework")(error)).into()
    }

    #[test]
    fn too_much_work_is_a_fault_of_the_job() {
        let error = answered(MethodError::TooMuchWork { granted: 7 });
        assert_eq!(error.error_response().status(), 422);
        let items: Vec<_> = error.items().into_iter().map(|item| (item.pointer.unwrap(), item.code)).collect();
        assert_eq!(items, [("/pipework".to_owned(), "too_much_work".to_owned())]);
    }

    /// Whole seconds, as a spreadsheet takes them, and as long as it would wait.
    #[test]
    fn who_is_turned_away_is_told_how_long_it_would_take() {
        for (millis, seconds) in [(0, "1"), (2300, "2"), (7999, "7"), (86_400_000, "120")] {
            let response = ApiError::busy(Duration::from_millis(millis)).error_response();
            assert_eq!(
                (response.status().as_u16(), response.headers().get(RETRY_AFTER).unwrap().to_str().unwrap()),
                (503, seconds)
            );
        }
    }

    #[test]
    fn too_little_time_is_none_and_may_be_asked_again() {
        let inside = DesignError::Method { pointer: "/pipework".to_owned(), error: MethodError::OutOfTime };
        for error in [answered(MethodError::OutOfTime), ProposalError::Design(inside).into(), OutOfTime.into()] {
            let response = error.error_response();
            assert_eq!((response.status().as_u16(), error.parts().1.code()), (503, "out_of_time"));
            assert_eq!(response.headers().get(RETRY_AFTER).unwrap(), "1");
            assert!(error.items().is_empty());
        }
    }
}
