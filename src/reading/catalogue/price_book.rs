//! Price book: products, labour, waste and rules, as one document.

use std::sync::Arc;

use indexmap::IndexMap;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::built_in::Catalogue;
use super::error::{CatalogueError, Problem};
use super::feeds::{self, ManifoldFeed};
use super::labour::Labour;
use super::products::{Product, Products};
use super::provenance::{Confidence, Provenance};
use super::rows::{self, data_file};
use super::rules::{self, Rule};
use super::{labour, product_rows};
use crate::list::Index;
use crate::money::Money;

/// What is cut off and thrown away, added to the quantity that a design needs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Waste {
    /// Share added to the area of boards.
    #[schema(minimum = 0, maximum = 1)]
    pub boards: f64,
    /// Share added to the length of tube in the runs.
    #[schema(minimum = 0, maximum = 1)]
    pub tube: f64,
}

/// Everything that a price rests on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PriceBook {
    /// Currency of every amount, by ISO 4217.
    #[schema(pattern = "^[A-Z]{3}$")]
    pub currency: String,
    /// What is thrown away.
    pub waste: Waste,
    /// Cost of fittings as a share of the cost of tube.
    #[schema(minimum = 0, maximum = 10)]
    pub fittings_share_of_tube_cost: f64,
    /// Products by id.
    pub products: Products,
    /// How wide tubes to floor manifolds are at least, by steps of which the first that holds counts; a book without them asks for
    /// nothing.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 20)]
    pub manifold_feeds: Vec<ManifoldFeed>,
    /// Labour.
    pub labour: Labour,
    /// Dated rules of tax and grants.
    #[schema(max_items = 1_000)]
    pub rules: Vec<Rule>,
}

/// Code of the line that stands for the fittings of the runs.
pub const FITTINGS: &str = "tube_fittings";

impl PriceBook {
    /// An amount with its currency, as a client reads it.
    #[must_use]
    pub fn amount(&self, amount: impl std::fmt::Display) -> String {
        if self.currency == "GBP" { format!("£{amount}") } else { format!("{amount} {}", self.currency) }
    }

    /// The id of a product and the product; its index must come from this book.
    #[must_use]
    pub fn product(&self, index: Index<Product>) -> (&str, &Product) {
        let number = index.number();
        (self.products.get_index(number).map_or("", |(id, _)| id.as_str()), &self.products[number])
    }

    /// The product of an id, and its index.
    #[must_use]
    pub fn find(&self, id: &str) -> Option<(Index<Product>, &Product)> {
        self.products.get_full(id).map(|(number, _, product)| (Index::new(number), product))
    }

    /// Each product with its index.
    pub fn enumerate(&self) -> impl Iterator<Item = (Index<Product>, &Product)> + Clone {
        self.products.values().enumerate().map(|(number, product)| (Index::new(number), product))
    }

    /// Products that one floor tube is on sale as, by rising length of coil: those that differ in nothing but coil and price.
    #[must_use]
    pub fn coils_of(&self, tube: Index<Product>) -> Vec<Index<Product>> {
        let (_, alike) = self.product(tube);
        let mut found: Vec<(Index<Product>, f64)> =
            self.enumerate().filter_map(|(index, product)| Some((index, alike.coil_m(product)?))).collect();
        found.sort_by(|a, b| a.1.total_cmp(&b.1));
        found.into_iter().map(|(index, _)| index).collect()
    }

    /// Least bore of a tube that leads to a manifold and to nothing else (mm), by loops and flow; nothing where the book tells none.
    #[must_use]
    pub fn feed_bore_mm(&self, loops: u32, flow_l_h: f64) -> Option<f64> {
        feeds::least_bore_mm(&self.manifold_feeds, loops, flow_l_h)
    }

    /// What does not agree within this book; pointers start at the book.
    #[must_use]
    pub fn problems(&self) -> Vec<Problem> {
        let products = self.products.iter().flat_map(|(id, product)| {
            let parent = format!("/products/{id}");
            let reserved = (id == FITTINGS).then(|| Problem::new("", "this code stands for the fittings of the runs"));
            product.problems().into_iter().chain(reserved).map(move |problem| problem.under(&parent))
        });
        let labour = self.labour.problems().into_iter().map(|problem| problem.under("/labour"));
        let rules = rules::problems(&self.rules).into_iter().map(|problem| problem.under("/rules"));
        products.chain(labour).chain(rules).collect()
    }

    /// The products of one kind, in the order of the book.
    pub fn of_kind<'a>(&'a self, kind: &'a str) -> impl Iterator<Item = (&'a str, &'a Product)> {
        let own = self.products.iter().filter(move |(_, product)| product.kind() == kind);
        own.map(|(id, product)| (id.as_str(), product))
    }
}

/// The line of the terms file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Terms {
    #[serde(rename = "code")]
    _code: String,
    currency: String,
    hourly_cost: Money,
    boards_waste: f64,
    tube_waste: f64,
    fittings_share_of_tube_cost: f64,
    #[serde(rename = "source")]
    _source: String,
    #[serde(rename = "confidence")]
    _confidence: Confidence,
}

/// The price book that the program ships, and where each product comes from. Prices and hours are invented.
pub(super) fn read() -> Result<(PriceBook, IndexMap<String, Provenance>), CatalogueError> {
    let file = data_file!("terms.csv");
    let [terms]: [Terms; 1] = rows::typed(file)?
        .try_into()
        .map_err(|_| CatalogueError::File { file: file.name, detail: "it must have one row".to_owned() })?;
    let (products, provenance) = product_rows::read()?;
    let book = PriceBook {
        currency: terms.currency,
        waste: Waste { boards: terms.boards_waste, tube: terms.tube_waste },
        fittings_share_of_tube_cost: terms.fittings_share_of_tube_cost,
        products,
        manifold_feeds: feeds::read()?,
        labour: Labour { hourly_cost: terms.hourly_cost, tasks: labour::read()? },
        rules: rules::read()?,
    };
    Ok((book, provenance))
}

/// The price book that the program ships, read once.
///
/// # Errors
/// A data file does not fit its columns. The tests read every file, so a released program does not meet it.
pub fn try_built_in() -> Result<Arc<PriceBook>, CatalogueError> {
    Catalogue::try_built_in().map(|catalogue| catalogue.price_book.clone())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};
    use utoipa::PartialSchema;

    fn schema() -> Value {
        let mut parts = Vec::new();
        PriceBook::schemas(&mut parts);
        let parts: serde_json::Map<_, _> = parts.into_iter().map(|(name, part)| (name, json!(part))).collect();
        let mut schema = json!(PriceBook::schema());
        schema["components"] = json!({ "schemas": parts });
        schema
    }

    #[test]
    fn what_is_shipped_fits_its_own_schema() {
        let validator = jsonschema::validator_for(&schema()).unwrap();
        let book = serde_json::to_value(&*try_built_in().unwrap()).unwrap();
        let faults: Vec<_> = validator.iter_errors(&book).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(faults.is_empty(), "{faults:#?}");
    }

    #[test]
    fn what_is_shipped_agrees_with_itself_and_survives_the_wire() {
        let book = try_built_in().unwrap();
        assert_eq!(book.problems(), []);
        let text = serde_json::to_string(&*book).unwrap();
        assert_eq!(serde_json::from_str::<PriceBook>(&text).unwrap(), *book);
        assert!(!text.contains("null"));
    }

    #[test]
    fn every_task_and_rule_is_known_by_an_id() {
        let book = try_built_in().unwrap();
        let is_id = |text: &str| text.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_');
        let tasks = book.labour.tasks.iter();
        assert!(tasks.flat_map(|(id, task)| [id, &task.visit, &task.supply]).all(|text| is_id(text)));
        assert!(book.rules.iter().all(|rule| is_id(&rule.key)));
    }

    #[test]
    fn problems_are_pointed_at_from_the_book() {
        let mut book = PriceBook::clone(&try_built_in().unwrap());
        book.labour.hourly_cost = Money::from_pennies(-1);
        let twice = book.rules[1].clone();
        book.rules.insert(1, twice);
        if let Some(Product::HeatSource { points, .. }) = book.products.get_mut("hs_7") {
            points.push(points[0]);
        }
        let pointers: Vec<_> = book.problems().into_iter().map(|problem| problem.pointer).collect();
        assert_eq!(pointers, ["/products/hs_7/points", "/labour/hourly_cost", "/rules/2/from"]);
    }

    #[test]
    fn unknown_members_are_refused() {
        let product = json!({"kind": "plant_kit", "description": "x", "unit": "each", "unit_cost": 1, "colour": "red"});
        assert!(serde_json::from_value::<Product>(product).is_err());
    }
}
