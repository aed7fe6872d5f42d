//! Steady heat conduction through the section of a heated floor, in two dimensions, by finite volumes.

mod grid;

use self::grid::Grid;
use super::banded::Banded;
use super::error::MethodError;
use super::math::{ln, max, min};

/// Section of a floor from the middle of a pipe to the middle between two: the rest mirrors it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Distance between pipes (m).
    pub spacing_m: f64,
    /// Outside diameter of the pipe (m).
    pub pipe_outside_m: f64,
    /// Wall of the pipe (m).
    pub pipe_wall_m: f64,
    /// Conductivity of the pipe (W/(mK)).
    pub pipe_w_mk: f64,
    /// Heat transfer coefficient of the water film in the bore (W/(m²K)); infinite where it is left out.
    pub film_w_m2k: f64,
    /// Screed under the pipe (m); 0 where it lies on the insulation.
    pub under_m: f64,
    /// Screed over the pipe (m).
    pub cover_m: f64,
    /// Conductivity of the screed (W/(mK)).
    pub screed_w_mk: f64,
    /// Resistance of the covering (m²K/W).
    pub covering_m2k_w: f64,
    /// Heat transfer coefficient of the floor's surface (W/(m²K)).
    pub surface_w_m2k: f64,
    /// Resistance from the underside of the screed to what lies below (m²K/W).
    pub below_m2k_w: f64,
}

/// Answers of a floor to the excess over the room of its water, and of what lies below; everything is linear in them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drives {
    /// By the water's excess.
    pub water: f64,
    /// By the excess of what lies below.
    pub below: f64,
}

impl Drives {
    fn at(self, water_k: f64, below_k: f64) -> f64 {
        self.water * water_k + self.below * below_k
    }

    /// What a grid of cells half as wide promises: the error goes with the width, so it is taken off once more.
    fn refined(self, coarse: Self) -> Self {
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

    fn refined(self, coarse: Self) -> Self {
        Self {
            up_w_m2k: self.up_w_m2k.refined(coarse.up_w_m2k),
            down_w_m2k: self.down_w_m2k.refined(coarse.down_w_m2k),
            water_w_m2k: self.water_w_m2k.refined(coarse.water_w_m2k),
            over_pipe: self.over_pipe.refined(coarse.over_pipe),
            between_pipes: self.between_pipes.refined(coarse.between_pipes),
            surface_w_m2k: self.surface_w_m2k,
        }
    }
}

/// A section solved, and how far its grid may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Solution {
    /// How the section answers.
    pub response: Response,
    /// Relative change of the output upward by the last refinement.
    pub grid_error: f64,
}

/// Cells across the pipe in the finer of the two grids that [`solve`] extrapolates from.
pub const ACROSS_PIPE: u32 = 32;

/// How a section answers, by two grids of which one has cells half as wide, extrapolated to cells of no width.
///
/// # Source
/// Fourier's law, by finite volumes, see [`respond`]; extrapolation after Richardson, of first order as the cells that
/// the pipe cuts are.
/// # Units
/// See [`Section`].
/// # Validity
/// As [`respond`].
/// # Errors
/// As [`respond`].
/// # Examples
/// ```
/// # use tundish::methods::floor_conduction::{Section, solve};
/// // 150 mm on the insulation under bare tile: 5.036 W/(m²K) by finite elements
/// let section = Section { spacing_m: 0.15, pipe_outside_m: 0.016, pipe_wall_m: 0.002, pipe_w_mk: 0.35,
///     film_w_m2k: f64::INFINITY, under_m: 0.0, cover_m: 0.045, screed_w_mk: 1.2, covering_m2k_w: 0.0,
///     surface_w_m2k: 10.8, below_m2k_w: 1.25 };
/// let solution = solve(&section)?;
/// assert!((solution.response.up_w_m2k.water / 5.036 - 1.0).abs() < 0.005);
/// # Ok::<(), tundish::methods::MethodError>(())
/// ```
pub fn solve(section: &Section) -> Result<Solution, MethodError> {
    let (coarse, fine) = (respond(section, ACROSS_PIPE / 2)?, respond(section, ACROSS_PIPE)?);
    let response = fine.refined(coarse);
    let grid_error = (response.up_w_m2k.water / fine.up_w_m2k.water - 1.0).abs();
    Ok(Solution { response, grid_error })
}

/// How a section answers, with so many cells across the pipe.
///
/// # Source
/// Fourier's law in two dimensions, by finite volumes; pipe wall and film stand in series with the screed round the
/// pipe, covering and surface over it, and what lies below under it.
/// # Units
/// See [`Section`].
/// # Validity
/// Steady state; screed of one conductivity; pipes far from walls.
/// # Errors
/// [`MethodError::Impossible`] for a section that cannot be built or does not conduct.
/// # Examples
/// See [`solve`].
pub fn respond(section: &Section, across_pipe: u32) -> Result<Response, MethodError> {
    check(section)?;
    let grid = Grid::new(section, across_pipe.max(4));
    let (columns, rows) = (grid.columns(), grid.rows());
    let screed_w_mk = section.screed_w_mk;
    let mut matrix = Banded::new(columns * rows, columns.min(rows));
    for column in 0..columns {
        for row in 0..rows {
            let node = grid.node(column, row);
            if grid.is_pipe(column, row) {
                matrix.ground(node, 1.0);
                continue;
            }
            if column + 1 < columns && !grid.is_pipe(column + 1, row) {
                let between_m = 0.5 * (grid.width_m(column) + grid.width_m(column + 1));
                let conductance = screed_w_mk * grid.upright_m(column, row) / between_m;
                matrix.connect(node, grid.node(column + 1, row), conductance);
            }
            if row + 1 < rows && !grid.is_pipe(column, row + 1) {
                let between_m = 0.5 * (grid.height_m(row) + grid.height_m(row + 1));
                let conductance = screed_w_mk * grid.level_m(column, row) / between_m;
                matrix.connect(node, grid.node(column, row + 1), conductance);
            }
        }
    }
    let through = |height_m: f64, rest_m2k_w: f64| 1.0 / (0.5 * height_m / screed_w_mk + rest_m2k_w);
    let over_m2k_w = section.covering_m2k_w + 1.0 / section.surface_w_m2k;
    let (mut from_water, mut from_below) = (vec![0.0; columns * rows], vec![0.0; columns * rows]);
    let (mut tops, mut bottoms) = (Vec::with_capacity(columns), Vec::with_capacity(columns));
    for column in 0..columns {
        let (top, bottom) = (grid.node(column, rows - 1), grid.node(column, 0));
        let up = grid.width_m(column) * through(grid.height_m(rows - 1), over_m2k_w);
        let down = grid.width_m(column) * through(grid.height_m(0), section.below_m2k_w);
        matrix.ground(top, up);
        matrix.ground(bottom, down);
        from_below[bottom] += down;
        tops.push((top, grid.width_m(column), up));
        bottoms.push((bottom, down));
    }
    let wall_m2k_w = pipe_resistance(section);
    let mut arcs = Vec::new();
    for (column, row, arc_m) in grid.pipe_arcs() {
        let node = grid.node(column, row);
        let conductance = arc_m / (wall_m2k_w + grid.screed_to_pipe_m(column, row) / screed_w_mk);
        matrix.ground(node, conductance);
        from_water[node] += conductance;
        arcs.push((node, conductance));
    }
    let factored = matrix.factor()?;
    factored.solve(&mut from_water);
    factored.solve(&mut from_below);
    let half_m = 0.5 * section.spacing_m;
    let up = |answer: &[f64]| tops.iter().map(|(node, _, up)| up * answer[*node]).sum::<f64>() / half_m;
    let down = |answer: &[f64], below: f64| {
        bottoms.iter().map(|(node, down)| down * (answer[*node] - below)).sum::<f64>() / half_m
    };
    let given = |answer: &[f64], water: f64| {
        arcs.iter().map(|(node, conductance)| conductance * (water - answer[*node])).sum::<f64>() / half_m
    };
    let surface = |column: usize| {
        let (node, width_m, up) = tops[column];
        let excess = |answer: &[f64]| up * answer[node] / width_m / section.surface_w_m2k;
        Drives { water: excess(&from_water), below: excess(&from_below) }
    };
    Ok(Response {
        up_w_m2k: Drives { water: up(&from_water), below: up(&from_below) },
        down_w_m2k: Drives { water: down(&from_water, 0.0), below: down(&from_below, 1.0) },
        water_w_m2k: Drives { water: given(&from_water, 1.0), below: given(&from_below, 0.0) },
        over_pipe: surface(0),
        between_pipes: surface(columns - 1),
        surface_w_m2k: section.surface_w_m2k,
    })
}

/// Resistance of pipe wall and film by the outer surface of the pipe (m²K/W).
fn pipe_resistance(section: &Section) -> f64 {
    let outer_m = 0.5 * section.pipe_outside_m;
    let inner_m = outer_m - section.pipe_wall_m;
    outer_m * ln(outer_m / inner_m) / section.pipe_w_mk + outer_m / (inner_m * section.film_w_m2k)
}

fn check(section: &Section) -> Result<(), MethodError> {
    let Section { spacing_m, pipe_outside_m, pipe_wall_m, pipe_w_mk, film_w_m2k, under_m, cover_m, .. } = *section;
    let Section { screed_w_mk, covering_m2k_w, surface_w_m2k, below_m2k_w, .. } = *section;
    let above = [spacing_m, pipe_outside_m, pipe_wall_m, pipe_w_mk, film_w_m2k, cover_m, screed_w_mk, surface_w_m2k];
    let built = above.iter().all(|figure| *figure > 0.0)
        && [under_m, covering_m2k_w, below_m2k_w].iter().all(|figure| *figure >= 0.0)
        && spacing_m > pipe_outside_m
        && 2.0 * pipe_wall_m < pipe_outside_m;
    if built {
        Ok(())
    } else {
        Err(MethodError::Impossible {
            reason: "a heated floor needs pipes apart from each other, with wall and bore, under a screed that conducts",
        })
    }
}
