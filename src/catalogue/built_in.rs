//! All that is shipped, read once.

use std::sync::OnceLock;

use indexmap::IndexMap;

use super::climate::{self, Station};
use super::coverings::{self, Covering};
use super::error::CatalogueError;
use super::price_book::{self, PriceBook};
use super::provenance::Provenance;
use super::room_use::{self, RoomUse, RoomUseDefaults};

/// All that the program ships.
#[derive(Debug, Clone, PartialEq)]
pub struct Catalogue {
    /// Prices, products, labour hours and dated rules. Prices and hours are invented.
    pub price_book: PriceBook,
    /// Where each product's technical figures come from, by the product's id.
    pub product_provenance: IndexMap<String, Provenance>,
    /// Climate stations.
    pub stations: Vec<Station>,
    /// Defaults by room use: one row for each use.
    pub room_uses: Vec<RoomUseDefaults>,
    /// Floor coverings.
    pub coverings: Vec<Covering>,
}

impl Catalogue {
    /// All that is shipped; the first call reads it.
    ///
    /// # Errors
    /// A data file does not fit its columns. The tests read every file, so a released program does not meet it.
    ///
    /// # Examples
    /// ```
    /// let catalogue = tundish::catalogue::Catalogue::try_built_in().unwrap();
    /// assert_eq!(catalogue.station("cardiff").unwrap().outside_design_c, -1.6);
    /// ```
    pub fn try_built_in() -> Result<&'static Self, &'static CatalogueError> {
        static READ: OnceLock<Result<Catalogue, CatalogueError>> = OnceLock::new();
        READ.get_or_init(Self::read).as_ref()
    }

    fn read() -> Result<Self, CatalogueError> {
        let (price_book, product_provenance) = price_book::read()?;
        let stations = climate::read()?;
        let room_uses = room_use::read()?;
        let coverings = coverings::read()?;
        Ok(Self { price_book, product_provenance, stations, room_uses, coverings })
    }

    /// The climate station with this id.
    #[must_use]
    pub fn station(&self, code: &str) -> Option<&Station> {
        self.stations.iter().find(|station| station.code == code)
    }

    /// The defaults of a room use. There is a row for every use in what is shipped.
    #[must_use]
    pub fn room_use(&self, room_use: RoomUse) -> Option<&RoomUseDefaults> {
        self.room_uses.iter().find(|row| row.code == room_use)
    }

    /// The floor covering with this id.
    #[must_use]
    pub fn covering(&self, code: &str) -> Option<&Covering> {
        self.coverings.iter().find(|covering| covering.code == code)
    }
}
