//! The tolerance band, which moves where the recipe is changed.

use jiff::civil::DateTime;
use maud::{Markup, html};

use crate::data::Recipe;
use crate::number::plain;
use crate::pen::{Anchor, Pen, width_of};
use crate::range::{Range, drawable};
use crate::time::Span;

/// The recipes that can be drawn, in order of time.
pub(crate) fn usable(recipes: &[Recipe]) -> Vec<Recipe> {
    let mut usable: Vec<Recipe> =
        recipes.iter().copied().filter(|r| r.target > 0.0 && drawable(r.target)).collect();
    for recipe in &mut usable {
        let said = recipe.tolerance.is_finite() && recipe.tolerance > 0.0;
        recipe.tolerance = if said { recipe.tolerance.min(1.0) } else { 0.0 };
    }
    usable.sort_by_key(|r| r.from);
    usable
}

/// The recipe that holds at a time.
pub(crate) fn holding(recipes: &[Recipe], at: DateTime) -> Option<&Recipe> {
    let begun = |r: &&Recipe| r.from.is_none_or(|from| from <= at);
    recipes.iter().rev().find(begun).or(recipes.first())
}

impl Recipe {
    /// How far off still serves, as an amount.
    pub(crate) fn off(&self) -> f64 {
        self.target * self.tolerance
    }

    /// The least and the most that still serve.
    pub(crate) fn limits(&self) -> (f64, f64) {
        (self.target - self.off(), self.target + self.off())
    }
}

/// Recipes with the places from and to which they hold, of those that hold anywhere on the axis.
pub(crate) fn pieces(
    recipes: &[Recipe],
    span: Option<Span>,
    left: f64,
    right: f64,
) -> Vec<(Recipe, f64, f64)> {
    let Some(span) = span else {
        return recipes.last().map(|r| (*r, left, right)).into_iter().collect();
    };
    // Beyond the ends a change has no place of its own: the recipe before it holds nowhere, or the one after it does.
    let change = |r: Option<&Recipe>, none: f64| match r.and_then(|r| r.from) {
        Some(from) if !span.holds(from) => {
            if span.after(from) {
                left
            } else {
                right
            }
        }
        Some(from) => span.x(from),
        None => none,
    };
    let mut pieces = Vec::new();
    for (i, recipe) in recipes.iter().enumerate() {
        let from = if i == 0 { left } else { change(Some(recipe), left) };
        let to = if i + 1 == recipes.len() { right } else { change(recipes.get(i + 1), left) };
        if to > from {
            pieces.push((*recipe, from, to));
        }
    }
    pieces
}

/// The band, its limits and the target, from one change of the recipe to the next.
pub(crate) fn band(pen: Pen, pieces: &[(Recipe, f64, f64)], range: &Range, unit: &str) -> Markup {
    html! {
        @for (i, (recipe, from, to)) in pieces.iter().enumerate() {
            @let (low, high) = recipe.limits();
            @let (low, middle, high) = (range.y(low), range.y(recipe.target), range.y(high));
            (pen.rect("band", (*from, high), (*to, low)))
            @for y in [high, low] { (pen.line("limit", (*from, y), (*to, y))) }
            (pen.line("target", (*from, middle), (*to, middle)))
            @let words = format!("target {} {unit}", plain(recipe.target));
            @if i + 1 < pieces.len() && width_of("note", &words) < to - from - 8.0 && high - 14.0 > range.top {
                (pen.text("note", (from + 4.0, high - 4.0), Anchor::Start, &words))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn recipe(from: Option<DateTime>, target: f64) -> Recipe {
        Recipe { from, target, tolerance: 0.05 }
    }

    #[test]
    fn the_recipe_of_its_time_holds() {
        let change = date(2026, 2, 1).at(0, 0, 0, 0);
        let recipes = usable(&[recipe(Some(change), 36.0), recipe(None, 30.0)]);
        let target = |day: i8| holding(&recipes, date(2026, 2, day).at(7, 0, 0, 0)).unwrap().target;
        assert_eq!((target(1), target(28)), (36.0, 36.0));
        assert_eq!(holding(&recipes, date(2026, 1, 31).at(7, 0, 0, 0)).unwrap().target, 30.0);
        // The earliest holds for what came before it too.
        let late = [recipe(Some(change), 36.0)];
        assert_eq!(holding(&late, date(2025, 1, 1).at(0, 0, 0, 0)).unwrap().target, 36.0);
    }

    #[test]
    fn only_recipes_of_the_time_shown_have_a_piece() {
        let day = |m| date(2026, m, 1).at(0, 0, 0, 0);
        let recipes = usable(&[
            recipe(None, 20.0),
            recipe(Some(day(1)), 30.0),
            recipe(Some(day(4)), 36.0),
            recipe(Some(day(9)), 40.0),
        ]);
        let span = Span::over([day(3), day(5)].into_iter(), 10.0, 90.0);
        let pieces = pieces(&recipes, span, 0.0, 100.0);
        let targets: Vec<f64> = pieces.iter().map(|(r, ..)| r.target).collect();
        assert_eq!(targets, [30.0, 36.0]);
        assert_eq!((pieces[0].1, pieces[1].2), (0.0, 100.0));
        assert!((pieces[0].2 - pieces[1].1).abs() < 1e-9);
    }
}
