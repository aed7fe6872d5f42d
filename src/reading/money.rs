//! Money: exact to the penny, with one rounding rule.
//!
//! An amount is a decimal of two places. Each line of a bill is rounded half-up once, and totals are sums of
//! rounded lines, so that a reader who adds up the page gets the page's total. On the wire an amount is a
//! JSON number with two decimals (`1234567.10`), written digit by digit and never by way of a double.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Sub};

use rust_decimal::prelude::FromPrimitive;
use rust_decimal::{Decimal, RoundingStrategy};
use serde::de::{Error as _, Visitor};
use serde::ser::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use utoipa::openapi::{KnownFormat, ObjectBuilder, RefOr, Schema, SchemaFormat, Type};
use utoipa::{PartialSchema, ToSchema};

/// The one rounding rule: to the penny, halves away from zero.
const RULE: RoundingStrategy = RoundingStrategy::MidpointAwayFromZero;

/// Largest amount that a document may name, in units of its currency.
pub const LARGEST: f64 = 1e9;

/// An amount of money, exact to two decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Money(Decimal);

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(Decimal::ZERO);

    /// An amount from whole pennies.
    ///
    /// # Examples
    /// ```
    /// # use tundish_reading::money::Money;
    /// assert_eq!(Money::from_pennies(1_234).to_string(), "12.34");
    /// ```
    #[must_use]
    pub fn from_pennies(pennies: i64) -> Self {
        Self(Decimal::new(pennies, 2))
    }

    /// The amount in whole pennies, if it fits.
    #[must_use]
    pub fn pennies(self) -> Option<i64> {
        i64::try_from((self.0 * Decimal::ONE_HUNDRED).trunc().mantissa()).ok()
    }

    /// This amount times a quantity, rounded half-up to the penny. The quantity counts with the shortest decimal
    /// text of its double, as a reader of the page would multiply it; `None` if it is not a number or the
    /// product is beyond what an amount can hold.
    ///
    /// # Examples
    /// ```
    /// # use tundish_reading::money::Money;
    /// assert_eq!(Money::from_pennies(21_435).times(2.1).unwrap().to_string(), "450.14");
    /// assert_eq!(Money::from_pennies(3_150).times(2.25).unwrap().to_string(), "70.88");
    /// ```
    #[must_use]
    pub fn times(self, quantity: f64) -> Option<Self> {
        let product = self.0.checked_mul(exact(quantity)?)?;
        Some(Self(product.round_dp_with_strategy(2, RULE)))
    }

    /// This amount raised by a share: 0.2 adds a fifth. Rounded half-up to the penny.
    #[must_use]
    pub fn marked_up(self, share: f64) -> Option<Self> {
        let product = self.0.checked_mul(exact(share)?.checked_add(Decimal::ONE)?)?;
        Some(Self(product.round_dp_with_strategy(2, RULE)))
    }

    /// The amount as a plain number, for what is weighed and not for what is paid.
    ///
    /// # Examples
    /// ```
    /// # use tundish_reading::money::Money;
    /// assert_eq!(Money::from_pennies(27).as_f64(), 0.27);
    /// ```
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "amounts of a bill are far below what f64 holds to the penny")]
    pub fn as_f64(self) -> f64 {
        self.pennies().map_or(f64::MAX, |pennies| pennies as f64 / 100.0)
    }

    /// Whether the amount is below nothing.
    #[must_use]
    pub fn is_negative(self) -> bool {
        self.0 < Decimal::ZERO
    }

    /// The amount nearest to a double, if the double's own shortest text has no more than two decimals.
    #[must_use]
    pub fn from_f64(amount: f64) -> Option<Self> {
        exact(amount).filter(|decimal| decimal.normalize().scale() <= 2).map(Self)
    }
}

/// The decimal that a double's shortest text stands for.
fn exact(x: f64) -> Option<Decimal> {
    if x.is_finite() { x.to_string().parse().ok().or_else(|| Decimal::from_f64(x)) } else { None }
}

impl Add for Money {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Money {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Money {
    type Output = Self;
    fn neg(self) -> Self {
        // nothing has no sign
        Self(Decimal::ZERO - self.0)
    }
}

impl AddAssign for Money {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Self>>(amounts: I) -> Self {
        amounts.fold(Self::ZERO, Add::add)
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{:.2}", self.0))
    }
}

impl Serialize for Money {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serde_json::value::RawValue::from_string(self.to_string()).map_err(S::Error::custom)?.serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for Money {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Amount;
        impl Visitor<'_> for Amount {
            type Value = Money;
            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str("an amount with at most two decimals")
            }
            fn visit_f64<E: serde::de::Error>(self, x: f64) -> Result<Money, E> {
                Money::from_f64(x).ok_or_else(|| E::custom(format!("{x} is not an amount with at most two decimals")))
            }
            fn visit_u64<E: serde::de::Error>(self, x: u64) -> Result<Money, E> {
                Ok(Money(Decimal::from(x)))
            }
            fn visit_i64<E: serde::de::Error>(self, x: i64) -> Result<Money, E> {
                Ok(Money(Decimal::from(x)))
            }
        }
        let amount = deserializer.deserialize_any(Amount)?;
        if amount.0.abs() > Decimal::from(1_000_000_000) {
            Err(D::Error::custom("an amount beyond a thousand million"))
        } else {
            Ok(amount)
        }
    }
}

impl PartialSchema for Money {
    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::Number)
            .format(Some(SchemaFormat::KnownFormat(KnownFormat::Double)))
            .multiple_of(Some(0.01))
            .minimum(Some(-LARGEST))
            .maximum(Some(LARGEST))
            .description(Some("Amount of money in the document's currency, with at most two decimals."))
            .into()
    }
}

impl ToSchema for Money {}

/// A product rounded half-up to two decimals, as money is: hours from a norm and a quantity.
///
/// # Examples
/// ```
/// assert_eq!(tundish_reading::money::hundredths(0.11, 33.6), Some(3.7));
/// assert_eq!(tundish_reading::money::hundredths(0.005, 1.0), Some(0.01));
/// ```
#[must_use]
pub fn hundredths(norm: f64, quantity: f64) -> Option<f64> {
    let product = exact(norm)?.checked_mul(exact(quantity)?)?;
    product.round_dp_with_strategy(2, RULE).normalize().to_string().parse().ok()
}
