//! A picture divided into equal fields, upright.

use serde::{Deserialize, Serialize};

use crate::picture::facts::Orientation;

/// Equal fields of a picture, row by row; `across x down` of them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Grid<T> {
    /// Fields in a row.
    pub across: usize,
    /// Rows of fields.
    pub down: usize,
    /// The fields, row by row from the top left.
    pub fields: Vec<T>,
}

impl<T> Default for Grid<T> {
    fn default() -> Grid<T> {
        Grid { across: 0, down: 0, fields: Vec::new() }
    }
}

impl<T: Clone> Grid<T> {
    /// Creates a grid with the same value everywhere.
    pub fn filled(across: usize, down: usize, value: T) -> Grid<T> {
        Grid { across, down, fields: vec![value; across * down] }
    }

    /// Turns it from the way it is stored to upright.
    pub fn upright(self, orientation: Orientation) -> Grid<T> {
        if orientation == Orientation::UPRIGHT || self.fields.is_empty() {
            return self;
        }
        let (across, down) =
            if orientation.swaps_sides() { (self.down, self.across) } else { (self.across, self.down) };
        let mut fields = Vec::with_capacity(self.fields.len());
        for y in 0..down as u32 {
            for x in 0..across as u32 {
                let (x, y) = orientation.stored_at(x, y, across as u32, down as u32);
                fields.push(self.fields[y as usize * self.across + x as usize].clone());
            }
        }
        Grid { across, down, fields }
    }
}

impl<T: Default + PartialEq> Grid<T> {
    /// Returns it, or a grid without fields if all of them are empty: thousands of rows keep theirs.
    #[must_use]
    pub fn or_nothing(self) -> Grid<T> {
        let says_nothing = self.fields.iter().all(|field| *field == T::default());
        if says_nothing { Grid::default() } else { self }
    }
}

impl<T> Grid<T> {
    /// Returns a field with its place: its left, top, right and bottom as shares of the picture's sides.
    pub fn placed(&self) -> impl Iterator<Item = ([f64; 4], &T)> {
        let (across, down) = (self.across as f64, self.down as f64);
        self.fields.iter().enumerate().map(move |(at, field)| {
            let (x, y) = ((at % self.across) as f64, (at / self.across) as f64);
            ([x / across, y / down, (x + 1.0) / across, (y + 1.0) / down], field)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_grid_turns_upright_as_its_picture_does() {
        // Exif tag 6: the stored left column becomes the top row.
        let stored = Grid { across: 3, down: 2, fields: vec![1, 2, 3, 4, 5, 6] };
        let upright = stored.upright(Orientation::from_tag(6).unwrap());
        assert_eq!(upright, Grid { across: 2, down: 3, fields: vec![4, 1, 5, 2, 6, 3] });
    }

    #[test]
    fn an_empty_grid_has_no_fields() {
        assert_eq!(Grid::filled(3, 2, false).or_nothing(), Grid::default());
        let one = Grid { across: 2, down: 1, fields: vec![false, true] };
        assert_eq!(one.clone().or_nothing(), one);
    }

    #[test]
    fn fields_know_their_place() {
        let grid = Grid::filled(4, 2, 0);
        let last = grid.placed().last().unwrap().0;
        assert_eq!(last, [0.75, 0.5, 1.0, 1.0]);
    }
}
