//! Steady heat conduction through the section of a heated floor, in two dimensions, by finite volumes.

mod grid;
mod response;

pub use response::{Drives, Response, State};

use self::grid::Grid;
use super::banded::Banded;
use super::budget::Budget;
use super::en_1264_2::Sheath;
use super::error::MethodError;
use super::math::ln;

/// A pipe in a floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pipe {
    /// Outside diameter, without its sheath (m).
    pub outside_m: f64,
    /// Wall (m).
    pub wall_m: f64,
    /// Conductivity (W/(mK)).
    pub conductivity_w_mk: f64,
    /// Sheath round it.
    pub sheath: Option<Sheath>,
}

impl Pipe {
    /// Outside diameter, with the sheath if there is one (m).
    #[must_use]
    pub fn outermost_m(&self) -> f64 {
        self.sheath.map_or(self.outside_m, |sheath| sheath.outside_m)
    }

    /// Resistance of sheath, wall and a film in the bore, by the outermost surface (m²K/W); film in W/(m²K), infinite
    /// where it is left out.
    #[must_use]
    pub fn resistance_m2k_w(&self, film_w_m2k: f64) -> f64 {
        let bore_m = self.outside_m - 2.0 * self.wall_m;
        let round = |outside_m: f64, inside_m: f64, w_mk: f64| ln(outside_m / inside_m) / (2.0 * w_mk);
        let sheath =
            self.sheath.map_or(0.0, |sheath| round(sheath.outside_m, self.outside_m, sheath.conductivity_w_mk));
        let wall = round(self.outside_m, bore_m, self.conductivity_w_mk);
        self.outermost_m() * (sheath + wall + 1.0 / (bore_m * film_w_m2k))
    }
}

/// Section of a floor from the middle of a pipe to the middle between two: the rest mirrors it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Distance between pipes (m).
    pub spacing_m: f64,
    /// The pipe.
    pub pipe: Pipe,
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

/// The same in a search, where a fifth of the time is worth a tenth of a per cent.
pub const ACROSS_PIPE_IN_A_SEARCH: u32 = 16;

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
/// # use tundish_engine::methods::{Budget, floor_conduction::{Pipe, Section, solve}};
/// // 150 mm on the insulation under bare tile: 5.036 W/(m²K) by finite elements
/// let pipe = Pipe { outside_m: 0.016, wall_m: 0.002, conductivity_w_mk: 0.35, sheath: None };
/// let section = Section { spacing_m: 0.15, pipe, film_w_m2k: f64::INFINITY,
///     under_m: 0.0, cover_m: 0.045, screed_w_mk: 1.2, covering_m2k_w: 0.0, surface_w_m2k: 10.8, below_m2k_w: 1.25 };
/// let solution = solve(&section, &Budget::unbounded())?;
/// assert!((solution.response.up_w_m2k.water / 5.036 - 1.0).abs() < 0.005);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn solve(section: &Section, budget: &Budget) -> Result<Solution, MethodError> {
    solve_on(section, ACROSS_PIPE, budget)
}

/// [`solve`] with so many cells across the pipe in the finer grid, and half as many in the other.
///
/// # Source
/// As [`solve`].
/// # Units
/// See [`Section`].
/// # Validity
/// As [`respond`].
/// # Errors
/// As [`respond`].
/// # Examples
/// See [`solve`].
pub fn solve_on(section: &Section, across_pipe: u32, budget: &Budget) -> Result<Solution, MethodError> {
    let (coarse, fine) = (respond(section, across_pipe / 2, budget)?, respond(section, across_pipe, budget)?);
    let response = fine.refined(coarse);
    let grid_error = (response.up_w_m2k.water / fine.up_w_m2k.water - 1.0).abs();
    Ok(Solution { response, grid_error })
}

/// Multiplications of a factorisation by one unit of work.
const MULTIPLICATIONS_PER_UNIT: usize = 384;

fn units(grid: &Grid) -> u64 {
    let (columns, rows) = (grid.columns(), grid.rows());
    let band = columns.min(rows);
    (columns * rows * band * band / 2).div_ceil(MULTIPLICATIONS_PER_UNIT) as u64
}

fn grid(section: &Section, across_pipe: u32) -> Grid {
    Grid::new(section, across_pipe.max(4))
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
/// [`MethodError::Impossible`] for a section that cannot be built or does not conduct; those of the budget.
/// # Examples
/// See [`solve`].
pub fn respond(section: &Section, across_pipe: u32, budget: &Budget) -> Result<Response, MethodError> {
    check(section)?;
    let grid = grid(section, across_pipe);
    budget.spend(units(&grid))?;
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
    let pipe_m2k_w = section.pipe.resistance_m2k_w(section.film_w_m2k);
    let mut arcs = Vec::new();
    for (column, row, arc_m) in grid.pipe_arcs() {
        let node = grid.node(column, row);
        let conductance = arc_m / (pipe_m2k_w + grid.screed_to_pipe_m(column, row) / screed_w_mk);
        matrix.ground(node, conductance);
        from_water[node] += conductance;
        arcs.push((node, conductance, arc_m));
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
        arcs.iter().map(|(node, conductance, _)| conductance * (water - answer[*node])).sum::<f64>() / half_m
    };
    // by the theorem of Tellegen: what a resistance is worth is the product of the two flows through it
    let by_pipe = |one: (&[f64], f64), other: (&[f64], f64)| {
        let flow = |(answer, water): (&[f64], f64), node: usize| water - answer[node];
        let product = |&(node, conductance, arc_m): &(usize, f64, f64)| {
            conductance * conductance / arc_m * flow(one, node) * flow(other, node)
        };
        arcs.iter().map(product).sum::<f64>() / half_m
    };
    let (water, below) = ((from_water.as_slice(), 1.0), (from_below.as_slice(), 0.0));
    let (water_water, water_below, below_below) = (by_pipe(water, water), by_pipe(water, below), by_pipe(below, below));
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
        pipe_m2k_w,
        up_by_pipe: Drives { water: -(water_water + water_below), below: -(water_below + below_below) },
        down_by_pipe: water_below,
    })
}

fn check(section: &Section) -> Result<(), MethodError> {
    let Section { spacing_m, pipe, film_w_m2k, under_m, cover_m, .. } = *section;
    let Section { screed_w_mk, covering_m2k_w, surface_w_m2k, below_m2k_w, .. } = *section;
    let Pipe { outside_m, wall_m, conductivity_w_mk, sheath } = pipe;
    let sheathed = sheath.is_none_or(|sheath| sheath.outside_m >= outside_m && sheath.conductivity_w_mk > 0.0);
    let above = [spacing_m, outside_m, wall_m, conductivity_w_mk, film_w_m2k, cover_m, screed_w_mk, surface_w_m2k];
    let built = above.iter().all(|figure| *figure > 0.0)
        && [under_m, covering_m2k_w, below_m2k_w].iter().all(|figure| *figure >= 0.0)
        && spacing_m > pipe.outermost_m()
        && 2.0 * wall_m < outside_m
        && sheathed;
    if built {
        Ok(())
    } else {
        Err(MethodError::Impossible {
            reason: "a heated floor needs pipes apart from each other, with wall and bore, under a screed that conducts",
        })
    }
}
