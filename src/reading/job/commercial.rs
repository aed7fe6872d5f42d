//! Prices, margins, tax points and grant.

use jiff::civil::Date;
use macro_rules_attribute::apply;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::{Validate, ValidationError};

use super::rules::Broken;
use crate::catalogue::PriceBook;
use crate::catalogue::feeds::ManifoldFeed;
use crate::catalogue::labour::Labour;
use crate::catalogue::price_book::Waste;
use crate::catalogue::products::Products;
use crate::catalogue::rules::Rule;
use crate::intake::{ById, FaultCode, Id, by_kind};

/// Supplies by id.
pub type Supplies = ById<Supply, 0, 20>;

/// The firm's side of the job.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
#[expect(clippy::duplicated_attributes, reason = "each rule says for itself that it is held beside others")]
#[validate(schema(function = "shares_make_a_whole", skip_on_field_errors = false))]
#[validate(schema(function = "it_is_valid_for_a_day", skip_on_field_errors = false))]
pub struct Commercial {
    /// Date of the quote; required where money is asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    pub quote_date: Option<Date>,
    /// Last day on which the quote can be accepted; `default:quote_valid_days` days after its date when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    pub valid_until: Option<Date>,
    /// For whom the work is done.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub client: Option<Client>,
    /// The people who come, and their day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crew: Option<Crew>,
    /// Mark-up on cost.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margins: Option<Margins>,
    /// Supplies for tax: each section of the bill belongs to one.
    #[serde(default, skip_serializing_if = "ById::is_empty")]
    pub supplies: Supplies,
    /// Stage payments; tax follows the tax point of each.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 20)]
    pub stage_payments: Vec<StagePayment>,
    /// Grant that comes off the gross price.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grant: Option<Grant>,
    /// Date of the first visit.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    pub programme_start: Option<Date>,
    /// Where prices, products and labour norms come from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price_book: Option<PriceBookChoice>,
}

/// For whom the work is done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Client {
    /// Their name.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// Where they live or are written to, in one line.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 500)]
    pub address: Option<String>,
    /// How they are reached by electronic mail.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 200)]
    pub email: Option<String>,
    /// How they are reached by telephone.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 50)]
    pub telephone: Option<String>,
}

/// The people who come, and their day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Crew {
    /// Number of people.
    #[schema(minimum = 1, maximum = 50)]
    pub people: u32,
    /// Working hours of a day (h).
    #[schema(exclusive_minimum = 0.0, maximum = 24.0)]
    pub hours_per_day_h: f64,
}

/// Mark-up on cost: 0.2 adds a fifth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Margins {
    /// Mark-up on the cost of materials (a ratio).
    #[schema(minimum = 0.0, maximum = 5.0)]
    pub materials: f64,
    /// Mark-up on the cost of labour (a ratio).
    #[schema(minimum = 0.0, maximum = 5.0)]
    pub labour: f64,
}

/// One supply for tax.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Supply {
    /// Key of the dated rule that gives its rate of tax.
    pub tax_rule: Id,
}

/// A payment that falls due at a stage of the work.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StagePayment {
    /// What the payment is for.
    #[schema(max_length = 200)]
    pub name: String,
    /// Share of the price (0–1).
    #[schema(exclusive_minimum = 0.0, maximum = 1.0)]
    pub share: f64,
    /// Date that the rate of tax is taken from.
    #[schema(value_type = String, format = Date)]
    pub tax_point: Date,
}

/// Grant that comes off the gross price.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Grant {
    /// A grant by dated rule.
    Scheme {
        /// Key of the dated rule that gives the amount.
        rule: Id,
        /// Date of the application.
        #[schema(value_type = String, format = Date)]
        application_date: Date,
        /// Date of the scheme's written offer, where it has come or is expected; some schemes pay for no work that began before it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(value_type = Option<String>, format = Date)]
        offer_date: Option<Date>,
    },
    /// No grant.
    None {},
}

/// Where prices, products and labour norms come from.
#[expect(clippy::large_enum_variant, reason = "one to a job, and never moved about")]
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum PriceBookChoice {
    /// The program's own invented prices.
    BuiltIn {},
    /// Prices that the job carries itself.
    Inline {
        /// ISO 4217 code of the currency.
        #[schema(pattern = "^[A-Z]{3}$")]
        currency: String,
        /// What is thrown away.
        waste: Waste,
        /// Cost of fittings as a share of the cost of tube.
        #[schema(minimum = 0.0, maximum = 10.0)]
        fittings_share_of_tube_cost: f64,
        /// Products by id.
        products: Products,
        /// How wide tubes to floor manifolds are at least, by steps of which the first that holds counts; nothing is asked of them
        /// when left out.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schema(max_items = 20)]
        manifold_feeds: Vec<ManifoldFeed>,
        /// Labour norms and the cost of an hour.
        labour: Labour,
        /// Dated rules of tax and grants.
        #[schema(max_items = 1_000)]
        rules: Vec<Rule>,
    },
}

impl PriceBookChoice {
    /// The book that the job carries itself, if it does.
    #[must_use]
    pub fn inline(&self) -> Option<PriceBook> {
        match self {
            Self::BuiltIn {} => None,
            Self::Inline { currency, waste, fittings_share_of_tube_cost, products, manifold_feeds, labour, rules } => {
                Some(PriceBook {
                    currency: currency.clone(),
                    waste: *waste,
                    fittings_share_of_tube_cost: *fittings_share_of_tube_cost,
                    products: products.clone(),
                    manifold_feeds: manifold_feeds.clone(),
                    labour: labour.clone(),
                    rules: rules.clone(),
                })
            }
        }
    }
}

/// A quote can be accepted on the day of its date at least.
fn it_is_valid_for_a_day(commercial: &Commercial) -> Result<(), ValidationError> {
    match (commercial.quote_date, commercial.valid_until) {
        (Some(quote_date), Some(valid_until)) if valid_until < quote_date => {
            Err(Broken::new(FaultCode::ValidBeforeQuote)
                .at("valid_until")
                .says(format!("a quote of {quote_date} cannot end on {valid_until}"))
                .into())
        }
        (Some(_), Some(_)) | (None, _) | (_, None) => Ok(()),
    }
}

/// Stage payments together pay the whole price.
fn shares_make_a_whole(commercial: &Commercial) -> Result<(), ValidationError> {
    let shares: f64 = commercial.stage_payments.iter().map(|payment| payment.share).sum();
    if commercial.stage_payments.is_empty() || (shares - 1.0).abs() < 1e-9 {
        Ok(())
    } else {
        Err(Broken::new(FaultCode::SharesDoNotAddUp)
            .at("stage_payments")
            .says(format!("the shares of the stage payments add up to {shares}, not to 1"))
            .limit(1.0)
            .into())
    }
}
