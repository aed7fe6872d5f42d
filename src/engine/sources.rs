//! Every published source that a formula or a figure rests on: the only citation keys.
//!
//! A figure that comes from a published method carries the key of its source, and an unknown key does
//! not compile. The title says what document is meant; the year says which edition. Clauses stand on
//! the line that uses them.

/// A document that a formula, a table or a value was taken from.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Source {
    /// Stable key, used in answers and in data rows.
    pub key: &'static str,
    /// Document and, where it helps, its part.
    pub title: &'static str,
    /// Year of the edition whose formula is used.
    pub year: u16,
    /// Its place among all, which a set of sources is made of.
    pub(crate) place: u32,
}

/// Declares the sources and the list of all of them in one go, so that none can be forgotten.
macro_rules! sources {
    ($($(#[$doc:meta])* $name:ident = $key:literal, $title:literal, $year:literal;)+) => {
        #[expect(non_camel_case_types, clippy::upper_case_acronyms, reason = "each place is called as its source")]
        enum Place { $($name),+ }
        $($(#[$doc])* pub static $name: Source =
            Source { key: $key, title: $title, year: $year, place: Place::$name as u32 };)+
        /// Every source of the program, in the order of this page.
        pub static ALL: &[&Source] = &[$(&$name),+];
    };
}

sources! {
    /// Design heat load of rooms and buildings, the edition whose formulas are used here.
    EN_12831 = "en_12831", "EN 12831, Heating systems in buildings: method for calculation of the design heat load", 2003;
    /// Thermal resistance and transmittance of building elements.
    ISO_6946 = "iso_6946", "ISO 6946, Building components and building elements: thermal resistance and thermal transmittance", 2017;
    /// Heat transfer via the ground.
    ISO_13370 = "iso_13370", "ISO 13370, Thermal performance of buildings: heat transfer via the ground", 2017;
    /// Thermal transmittance of windows and doors.
    ISO_10077 = "iso_10077", "ISO 10077-1, Thermal performance of windows, doors and shutters: calculation of thermal transmittance", 2017;
    /// Moisture in the air of buildings.
    ISO_13788 = "iso_13788", "ISO 13788, Hygrothermal performance of building components and building elements: internal surface temperature to avoid critical surface humidity and interstitial condensation", 2012;
    /// Heat transfer coefficients of buildings with unheated spaces.
    ISO_13789 = "iso_13789", "ISO 13789, Thermal performance of buildings: transmission and ventilation heat transfer coefficients", 2017;
    /// Government procedure for the energy rating of dwellings, and its tables for undocumented ones.
    RDSAP_2012 = "rdsap_2012", "Government's Standard Assessment Procedure and its reduced-data tables (SAP 2012, RdSAP 2012)", 2012;
    /// Output of radiators and convectors.
    EN_442 = "en_442", "EN 442-2, Radiators and convectors: test methods and rating", 2014;
    /// Output of heated floors.
    EN_1264_2 = "en_1264_2", "EN 1264-2, Water based surface embedded heating and cooling systems: determination of the thermal output", 2021;
    /// Dimensioning of heated floors.
    EN_1264_3 = "en_1264_3", "EN 1264-3, Water based surface embedded heating and cooling systems: dimensioning", 2021;
    /// Installation of heated floors.
    EN_1264_4 = "en_1264_4", "EN 1264-4, Water based surface embedded heating and cooling systems: installation", 2021;
    /// Output of embedded surfaces that heat or cool.
    ISO_11855_2 = "iso_11855_2", "ISO 11855-2, Building environment design: embedded radiant heating and cooling systems, determination of design heating and cooling capacity", 2021;
    /// Expansion and safety of water-based heating systems.
    EN_12828 = "en_12828", "EN 12828, Heating systems in buildings: design for water-based heating systems", 2012;
    /// Density and specific heat of water.
    IAPWS_IF97 = "iapws_if97", "IAPWS R7-97, Industrial formulation 1997 for the thermodynamic properties of water and steam", 2012;
    /// Viscosity of water.
    IAPWS_VISCOSITY = "iapws_viscosity", "IAPWS R12-08, Formulation 2008 for the viscosity of ordinary water substance", 2008;
    /// Conductivity of water.
    IAPWS_CONDUCTIVITY = "iapws_conductivity", "IAPWS R15-11, Formulation 2011 for the thermal conductivity of ordinary water substance", 2011;
    /// Properties of mixtures of water and glycol.
    MELINDER = "melinder", "Melinder, Properties of secondary working fluids for indirect systems, IIR; coefficients as CoolProp carries them", 2010;
    /// Heat transfer of turbulent flow in tubes.
    GNIELINSKI = "gnielinski", "Gnielinski, New equations for heat and mass transfer in turbulent pipe and channel flow, International Chemical Engineering 16", 1976;
    /// Heat transfer of laminar flow, dimensionless groups.
    HEAT_TRANSFER = "heat_transfer", "Laminar heat transfer in tubes, as in any handbook of heat transfer", 1885;
    /// Steady conduction.
    FOURIER = "fourier", "Fourier's law of heat conduction, solved for the section in two dimensions", 1822;
    /// Friction of turbulent flow in tubes.
    COLEBROOK = "colebrook_white", "Colebrook, Turbulent flow in pipes, Journal of the Institution of Civil Engineers 11", 1939;
    /// Pressure drop of flow in tubes, laminar friction and local losses.
    FLUID_MECHANICS = "fluid_mechanics", "Darcy-Weisbach and Hagen-Poiseuille, as in any handbook of fluid mechanics", 1857;
    /// Heat loss of insulated pipes.
    ISO_12241 = "iso_12241", "ISO 12241, Thermal insulation for building equipment and industrial installations: calculation rules", 2008;
    /// Heat loss of bare pipes.
    HOME_ENERGY_MODEL = "home_energy_model", "Government's Home Energy Model, as its public code and tests carry it", 2025;
    /// Pumps at other speeds.
    PUMP_LAWS = "pump_laws", "Laws of similarity of centrifugal pumps, as in any handbook of pumps", 1905;
    /// Holes and notches in joists.
    JOISTS = "joists", "Local Authority Building Control, Notches and holes in solid timber joists, on span tables to Eurocode 5", 2018;
    /// Energy balances that need no document: heat carried by water, a day shared between two demands.
    ENERGY_BALANCE = "energy_balance", "Conservation of energy", 1847;
    /// What is declared for one unit, in the job or in the catalogue.
    DECLARED_DATA = "declared_data", "Declared data of the unit, as given in the job or in the catalogue", 2026;
    /// Rules that the trade works by and that no document of ours gives.
    TRADE_PRACTICE = "trade_practice", "Common practice of the heating trade", 2026;
}

/// The source with this key, if there is one.
///
/// # Examples
/// ```
/// assert_eq!(tundish_engine::sources::by_key("en_442").unwrap().year, 2014);
/// assert!(tundish_engine::sources::by_key("en_9999").is_none());
/// ```
#[must_use]
pub fn by_key(key: &str) -> Option<&'static Source> {
    ALL.iter().copied().find(|source| source.key == key)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_unique_and_snake_case() {
        let mut keys: Vec<_> = ALL.iter().map(|source| source.key).collect();
        assert!(keys.iter().all(|key| key.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_')));
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), ALL.len());
        assert!(ALL.len() <= 64, "a set of sources is one word");
        assert!((0..).zip(ALL).all(|(place, source)| source.place == place));
    }
}
