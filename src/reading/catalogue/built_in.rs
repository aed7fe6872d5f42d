//! All that is shipped, read once.

use std::sync::{Arc, OnceLock};

use indexmap::IndexMap;

use super::climate::{self, Station};
use super::coverings::{self, Covering};
use super::defaults::{self, Defaults};
use super::error::CatalogueError;
use super::materials::{self, Material};
use super::offer::Offer;
use super::price_book::{self, PriceBook};
use super::provenance::Provenance;
use super::room_use::{self, RoomUse, RoomUseDefaults, RoomUses};
use super::typical::{self, TypicalPart, TypicalUValue};
use super::typology::{self, TypologyBuilding};

/// All that the program ships.
#[derive(Debug, Clone, PartialEq)]
pub struct Catalogue {
    /// Prices, products, labour hours and dated rules, held together with every survey that is reckoned with them. Prices
    /// and hours are invented.
    pub price_book: Arc<PriceBook>,
    /// What that offers, made ready once.
    pub offer: Arc<Offer>,
    /// Where each product's technical figures come from, by the product's id.
    pub product_provenance: IndexMap<String, Provenance>,
    /// Climate stations.
    pub stations: Vec<Station>,
    /// Defaults by room use: one row for each use.
    pub room_uses: RoomUses,
    /// Floor coverings.
    pub coverings: Vec<Covering>,
    /// Building materials.
    pub materials: Vec<Material>,
    /// Typical U-values by element and year.
    pub typical_u_values: Vec<TypicalUValue>,
    /// Typology of British dwellings.
    pub typology: Vec<TypologyBuilding>,
    /// What stands in for what a job leaves out.
    pub defaults: Arc<Defaults>,
}

impl Catalogue {
    /// All that is shipped, one value to a process; the first call reads it.
    ///
    /// # Errors
    /// A data file does not fit its columns. The tests read every file, so a released program does not meet it.
    ///
    /// # Examples
    /// ```
    /// let catalogue = tundish_reading::catalogue::Catalogue::try_built_in().unwrap();
    /// assert_eq!(catalogue.station("cardiff").unwrap().outside_design_c, -1.6);
    /// ```
    pub fn try_built_in() -> Result<Arc<Self>, CatalogueError> {
        static READ: OnceLock<Result<Arc<Catalogue>, CatalogueError>> = OnceLock::new();
        READ.get_or_init(|| Self::read().map(Arc::new)).clone()
    }

    fn read() -> Result<Self, CatalogueError> {
        let (price_book, product_provenance) = price_book::read()?;
        let stations = climate::read()?;
        let room_uses = room_use::read()?;
        let coverings = coverings::read()?;
        let materials = materials::read()?;
        let typical_u_values = typical::read()?;
        let typology = typology::read()?;
        let defaults = Arc::new(defaults::read()?);
        let offer = Arc::new(Offer::from_book(&price_book));
        Ok(Self {
            price_book: Arc::new(price_book),
            offer,
            product_provenance,
            stations,
            room_uses,
            coverings,
            materials,
            typical_u_values,
            typology,
            defaults,
        })
    }

    /// The climate station with this id.
    #[must_use]
    pub fn station(&self, code: &str) -> Option<&Station> {
        self.stations.iter().find(|station| station.code == code)
    }

    /// The defaults of a room use.
    #[must_use]
    pub fn room_use(&self, room_use: RoomUse) -> &RoomUseDefaults {
        self.room_uses.of(room_use)
    }

    /// The floor covering with this id.
    #[must_use]
    pub fn covering(&self, code: &str) -> Option<&Covering> {
        self.coverings.iter().find(|covering| covering.code == code)
    }
    /// The building material with this id.
    #[must_use]
    pub fn material(&self, code: &str) -> Option<&Material> {
        self.materials.iter().find(|material| material.code == code)
    }

    /// The part of the envelope that a typical element is for.
    #[must_use]
    pub fn typical_part(&self, element: &str) -> Option<TypicalPart> {
        self.typical_u_values.iter().find(|row| row.element == element).map(|row| row.part)
    }

    /// The typical U-value of an element that was built in this year.
    #[must_use]
    pub fn typical(&self, element: &str, year: u32) -> Option<&TypicalUValue> {
        typical::find(&self.typical_u_values, element, year)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn materials_and_typical_u_values_are_found_by_their_names() {
        let catalogue = Catalogue::try_built_in().unwrap();
        assert_eq!(catalogue.material("brick_outer").unwrap().conductivity_w_mk, 0.77);
        assert!(catalogue.material("brick").is_none());
        assert_eq!(catalogue.typical("cavity_wall", 1970).unwrap().u_value_w_m2k, 1.6);
        assert!(catalogue.typical("cavity", 1970).is_none());
    }
}
