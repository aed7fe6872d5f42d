//! Payments as they fall due: what the grant leaves of each, and what a client should not be asked for.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Warning;
use crate::money::Money;
use crate::survey::{Commercial, Payment, Survey};

/// A payment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PaymentRow {
    /// What it is for.
    pub name: String,
    /// Share of the price (0–1).
    pub share: f64,
    /// Date that its rates of tax are taken from.
    #[schema(value_type = String, format = Date)]
    pub tax_point: Date,
    /// Net amount.
    pub net: Money,
    /// Tax.
    pub tax: Money,
    /// Gross amount, before any grant.
    pub gross: Money,
    /// What of the grant comes off it: the grant comes off the last payments first.
    #[serde(default)]
    pub grant: Money,
    /// What the client pays then.
    #[serde(default)]
    pub payable: Money,
}

impl PaymentRow {
    /// A payment that no grant has come off yet.
    pub(super) fn before_grant(payment: &Payment, net: Money, tax: Money) -> Self {
        let Payment { name, share, tax_point } = payment.clone();
        Self { name, share, tax_point, net, tax, gross: net + tax, grant: Money::ZERO, payable: net + tax }
    }
}

/// Takes a grant off the payments, from the last: it is paid when the work is done.
pub(super) fn take_grant(payments: &mut [PaymentRow], grant: Money) {
    let mut left = grant;
    for payment in payments.iter_mut().rev() {
        payment.grant = left.min(payment.gross);
        payment.payable = payment.gross - payment.grant;
        left = left - payment.grant;
    }
}

/// What a client should not be asked for, and dates that do not go together; the work is done on the last day of its programme.
pub(super) fn warnings(
    survey: &Survey,
    commercial: &Commercial,
    payments: &[PaymentRow],
    done: Option<Date>,
) -> Vec<Warning> {
    let mut found: Vec<Warning> = Vec::new();
    // a price that no payment is told of is paid in the end
    if !commercial.has_payments {
        return found;
    }
    let price: Money = payments.iter().map(|payment| payment.gross).sum();
    let owed: Money = payments.iter().map(|payment| payment.payable).sum();
    if let Some(first) = payments.first().filter(|first| first.gross > owed) {
        found.push(Warning::DepositAboveOwed { payment: first.name.clone(), asked: first.gross, owed });
    }
    let defaults = &survey.defaults;
    let mut beyond = |paid: Money, most_share: f64, warning: fn(Money, Money, f64) -> Warning| {
        if price.times(most_share).is_some_and(|most| paid > most) {
            found.push(warning(paid, price, 100.0 * most_share));
        }
    };
    let paid_before = |day: Date| {
        payments.iter().filter(|payment| payment.tax_point < day).map(|payment| payment.payable).sum::<Money>()
    };
    let start = commercial.programme_start;
    beyond(
        paid_before(done.unwrap_or(start)),
        defaults.paid_before_done_most_share.value,
        |paid, price, most_percent| Warning::PaidBeforeDone { paid, price, most_percent },
    );
    beyond(paid_before(start), defaults.paid_before_work_most_share.value, |paid, price, most_percent| {
        Warning::PaidBeforeWork { paid, price, most_percent }
    });
    for (number, payment) in payments.iter().enumerate() {
        let Payment { name, tax_point, .. } = &commercial.payments[number];
        if *tax_point < commercial.quote_date {
            let (tax_point, quote_date) = (tax_point.to_string(), commercial.quote_date.to_string());
            found.push(Warning::TaxPointBeforeQuote { payment: name.clone(), number, tax_point, quote_date });
        }
        let later = payments[..number].iter().find(|other| other.tax_point > payment.tax_point);
        if let Some(other) = later {
            let (tax_point, later) = (payment.tax_point.to_string(), other.tax_point.to_string());
            found.push(Warning::TaxPointOutOfOrder { payment: name.clone(), number, tax_point, later });
        }
    }
    found
}
