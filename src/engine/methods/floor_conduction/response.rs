//! How a section answers to its temperatures, its film and its limits.

use crate::methods::math::{max, min};

/// Answers of a floor to the excess over the room of its water, and of what lies below; everything is linear in them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drives {
    /// By the water's excess.
    pub water: f64,
    /// By the excess of what lies below.
    pub below: f64,
}

impl Drives {
    pub(super) fn at(self, water_k: f64, below_k: f64) -> f64 {
        self.water * water_k + self.below * below_k
    }

    /// What a grid of cells half as wide promises: the error goes with the width, so it is taken off once more.
    pub(super) fn refined(self, coarse: Self) -> Self {
        Self { water: 2.0 * self.water - coarse.water, below: 2.0 * self.below - coarse.below }
    }
}

/// How a section answers to its temperatures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Response {
    /// Output upward (W/(m²K)).
    pub up_w_m2k: Drives,
    /// Flux downward (W/(m²K)).
    pub down_w_m2k: Drives,
    /// What the water gives (W/(m²K)).
    pub water_w_m2k: Drives,
    /// Excess of the surface over the room above a pipe (K/K).
    pub over_pipe: Drives,
    /// The same in the middle between two pipes (K/K).
    pub between_pipes: Drives,
    /// Heat transfer coefficient of the surface (W/(m²K)).
    pub surface_w_m2k: f64,
    /// Resistance of pipe wall and film, by the outer surface of the pipe, that this holds for (m²K/W).
    pub pipe_m2k_w: f64,
    /// What [`Self::up_w_m2k`] changes by with that resistance (W²/(m⁴K²)).
    pub(super) up_by_pipe: Drives,
    /// What the flux downward changes by with it, by the water's excess (W²/(m⁴K²)).
    pub(super) down_by_pipe: f64,
}

/// A floor at its temperatures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct State {
    /// Output upward (W/m²).
    pub up_w_m2: f64,
    /// Flux downward (W/m²).
    pub down_w_m2: f64,
    /// What the water gives (W/m²).
    pub water_w_m2: f64,
    /// Mean temperature of the surface (°C).
    pub surface_c: f64,
    /// Highest temperature of the surface (°C).
    pub surface_highest_c: f64,
    /// Lowest temperature of the surface (°C).
    pub surface_lowest_c: f64,
}

impl Response {
    /// The floor with water, room and what lies below at given temperatures (°C).
    #[must_use]
    pub fn at(&self, water_c: f64, room_c: f64, below_c: f64) -> State {
        let by = |answer: Drives| answer.at(water_c - room_c, below_c - room_c);
        let up_w_m2 = by(self.up_w_m2k);
        let (over_k, between_k) = (by(self.over_pipe), by(self.between_pipes));
        State {
            up_w_m2,
            down_w_m2: by(self.down_w_m2k),
            water_w_m2: by(self.water_w_m2k),
            surface_c: room_c + up_w_m2 / self.surface_w_m2k,
            surface_highest_c: room_c + max(over_k, between_k),
            surface_lowest_c: room_c + min(over_k, between_k),
        }
    }

    /// Output to the room by kelvin of mean excess of the water (W/(m²K)), with what lies below as warm as the room.
    #[must_use]
    pub fn slope_w_m2k(&self) -> f64 {
        self.up_w_m2k.water
    }

    /// Mean excess of the water at which the warmest spot of the surface reaches a temperature (K, °C).
    #[must_use]
    pub fn excess_at_surface(&self, surface_c: f64, room_c: f64, below_c: f64) -> f64 {
        let at = |spot: Drives| (surface_c - room_c - spot.below * (below_c - room_c)) / spot.water;
        min(at(self.over_pipe), at(self.between_pipes))
    }

    /// Coldest water (°C) at which no spot of a floor that cools is colder than a temperature.
    ///
    /// # Validity
    /// What lies below is as warm as the room; a surface of the floor as it cools.
    #[must_use]
    pub fn coldest_water(&self, surface_min_c: f64, room_c: f64) -> f64 {
        room_c - (room_c - surface_min_c) / max(self.over_pipe.water, self.between_pipes.water)
    }

    /// Coldest spot (°C) of a floor that cools at a temperature of its water.
    ///
    /// # Validity
    /// As [`Self::coldest_water`].
    #[must_use]
    pub fn coldest_spot(&self, water_c: f64, room_c: f64) -> f64 {
        room_c - (room_c - water_c) * max(self.over_pipe.water, self.between_pipes.water)
    }

    /// Output at which the warmest spot of the surface reaches a temperature (W/m², °C). Wall and film do not change it.
    #[must_use]
    pub fn output_at_surface(&self, surface_c: f64, room_c: f64, below_c: f64) -> f64 {
        self.up_w_m2k.at(self.excess_at_surface(surface_c, room_c, below_c), below_c - room_c)
    }

    /// The same section behind another resistance of pipe wall and film, by the outer surface of the pipe (m²K/W); see
    /// [`Pipe::resistance_m2k_w`](super::Pipe::resistance_m2k_w).
    ///
    /// Wall and film stand in series between the water and the pipe's surface. Were that surface all of one
    /// temperature, the reciprocals of what the water gives to room and below would rise by that resistance along
    /// straight lines, and what lies below would reach the room by a straight line in the former. The lines are those
    /// that touch the solution; the pipe's surface is nearly of one temperature, so they hold far.
    #[must_use]
    pub fn behind_pipe(&self, pipe_m2k_w: f64) -> Self {
        let by_m2k_w = pipe_m2k_w - self.pipe_m2k_w;
        let along = |figure: f64, slope: f64| 1.0 / (1.0 / figure - slope / (figure * figure) * by_m2k_w);
        let (up, down) = (self.up_w_m2k, self.down_w_m2k);
        let up_water = along(up.water, self.up_by_pipe.water);
        let down_water = if down.water > 0.0 { along(down.water, self.down_by_pipe) } else { 0.0 };
        let up_below = up.below + self.up_by_pipe.below / self.up_by_pipe.water * (up_water - up.water);
        let surface = |excess: Drives| Drives {
            water: excess.water * up_water / up.water,
            below: excess.below + excess.water / up.water * (up_below - up.below),
        };
        Self {
            up_w_m2k: Drives { water: up_water, below: up_below },
            down_w_m2k: Drives { water: down_water, below: -(down_water + up_below) },
            water_w_m2k: Drives { water: up_water + down_water, below: -down_water },
            over_pipe: surface(self.over_pipe),
            between_pipes: surface(self.between_pipes),
            ..*self
        }
    }

    pub(super) fn refined(self, coarse: Self) -> Self {
        Self {
            up_w_m2k: self.up_w_m2k.refined(coarse.up_w_m2k),
            down_w_m2k: self.down_w_m2k.refined(coarse.down_w_m2k),
            water_w_m2k: self.water_w_m2k.refined(coarse.water_w_m2k),
            over_pipe: self.over_pipe.refined(coarse.over_pipe),
            between_pipes: self.between_pipes.refined(coarse.between_pipes),
            surface_w_m2k: self.surface_w_m2k,
            pipe_m2k_w: self.pipe_m2k_w,
            up_by_pipe: self.up_by_pipe.refined(coarse.up_by_pipe),
            down_by_pipe: 2.0 * self.down_by_pipe - coarse.down_by_pipe,
        }
    }
}
