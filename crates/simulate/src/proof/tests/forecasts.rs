//! How forecasts are scored.

use super::super::nature::Nature;
use super::super::{Class, Forecasts, HORIZONS, Plan, forecasts};

fn scored(nature: &Nature, weeks: u32, threads: usize) -> Vec<Forecasts> {
    let plan = Plan { seeds: vec![1, 2], sites: 4, lines: 4, weeks, threads };
    forecasts(nature, 500, &plan, &|| ())
}

#[test]
fn the_same_seeds_give_the_same_scores_on_any_number_of_threads() {
    assert_eq!(scored(&Nature::hard(), 40, 1), scored(&Nature::hard(), 40, 3));
}

// By hand: two turns of thirteen weeks, 13 to 25 and 26 to 38. The round in which lines may be touched forecasts nothing, and a
// forecast ends before the next such round touches anything: from twelve rounds of a turn one week ahead, from eleven two, from nine
// four, from five eight. No round of the plain world is missed. Two of four sites weigh, in each of two estates, four lines.
#[test]
fn every_forecast_is_scored_and_none_across_an_adjustment() {
    let cells = scored(&Nature::plain(), 40, 1);
    assert_eq!(cells.len(), 2 * HORIZONS.len(), "no cup of the plain world has one mark");
    for cell in cells {
        assert_ne!(cell.class, Class::OneMark);
        let rounds = match cell.weeks {
            1 => 12,
            2 => 11,
            4 => 9,
            8 => 5,
            other => panic!("{other} weeks"),
        };
        assert_eq!(cell.count, 2 * rounds * 2 * 2 * 4, "{cell:?}");
    }
}
