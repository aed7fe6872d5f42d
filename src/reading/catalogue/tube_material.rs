//! What tubes are made of, and what follows from it.
//!
//! Conductivities of PE-X, PE-RT, PB and steel are those of EN 1264 as an open Modelica library of building simulation carries
//! them; copper has 380 W/(mK) by EN 12524 as an open library of heat transfer carries it (the former has 390 and 393, which is no
//! matter for heat). That of multilayer tube, and lasting temperatures (EN ISO 15875 to 15876, 21003 and 22391, class 5, for
//! plastics), are from memory, confirm: the maker's data decide.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What a tube is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum TubeMaterial {
    /// Copper, EN 1057.
    Copper,
    /// Plastic with a layer of aluminium, EN ISO 21003.
    Multilayer,
    /// Cross-linked polyethylene, EN ISO 15875.
    PeX,
    /// Polyethylene of raised temperature resistance, EN ISO 22391.
    PeRt,
    /// Polybutylene, EN ISO 15876.
    Pb,
    /// Steel.
    Steel,
}

/// How a tube is supplied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum SuppliedAs {
    /// In straight lengths.
    Lengths,
    /// In coils.
    Coil,
}

/// How tubes are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Joint {
    /// Soldered.
    Soldered,
    /// Pressed.
    Pressed,
    /// Compression ring.
    Compression,
    /// Pushed in.
    PushFit,
    /// Threaded.
    Threaded,
    /// Welded.
    Welded,
}

impl TubeMaterial {
    /// What it is called.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Copper => "copper",
            Self::Multilayer => "multilayer",
            Self::PeX => "PE-X",
            Self::PeRt => "PE-RT",
            Self::Pb => "PB",
            Self::Steel => "steel",
        }
    }

    /// Thermal conductivity of the wall (W/(mK)).
    #[must_use]
    pub fn conductivity_w_mk(self) -> f64 {
        match self {
            Self::Copper => 380.0,
            Self::Multilayer => 0.4,
            Self::PeX | Self::PeRt => 0.35,
            Self::Pb => 0.22,
            Self::Steel => 52.0,
        }
    }

    /// Highest temperature that it bears for good (°C).
    #[must_use]
    pub fn temperature_max_c(self) -> f64 {
        match self {
            Self::Copper | Self::Steel => 110.0,
            Self::Multilayer | Self::PeX | Self::PeRt | Self::Pb => 80.0,
        }
    }

    /// Highest pressure that it bears there (bar).
    #[must_use]
    pub fn pressure_max_bar(self) -> f64 {
        match self {
            Self::Copper | Self::Steel => 16.0,
            Self::Multilayer => 10.0,
            Self::PeX | Self::PeRt | Self::Pb => 6.0,
        }
    }

    /// Velocity from which flowing water wears it (m/s): 1.5 for copper with water up to about 60 °C, 2.5 otherwise;
    /// common practice of the trade's reference pages.
    #[must_use]
    pub fn erosion_m_s(self) -> f64 {
        match self {
            Self::Copper => 1.5,
            Self::Multilayer | Self::PeX | Self::PeRt | Self::Pb | Self::Steel => 2.5,
        }
    }

    /// Joints that it may have.
    #[must_use]
    pub fn joints(self) -> &'static [Joint] {
        match self {
            Self::Copper => &[Joint::Soldered, Joint::Pressed, Joint::Compression, Joint::PushFit],
            Self::Multilayer | Self::PeRt => &[Joint::Pressed, Joint::Compression],
            Self::PeX | Self::Pb => &[Joint::PushFit, Joint::Compression, Joint::Pressed],
            Self::Steel => &[Joint::Threaded, Joint::Welded, Joint::Pressed],
        }
    }
}
