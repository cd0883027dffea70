//! Where a line stood by its history, and where it will stand: a band behind the catches, and a fan ahead of them.

use maud::{Markup, html};

use crate::data::Stood;
use crate::pen::{Pen, n};
use crate::range::{Range, drawable};
use crate::time::Span;

/// The places that can be drawn, in order of time, apart by what was and what will be. The fan begins where the band ends.
fn parts(stood: &[Stood]) -> [Vec<&Stood>; 2] {
    let usable = |s: &&Stood| [s.low, s.middle, s.high].into_iter().all(drawable);
    let mut all: Vec<&Stood> = stood.iter().filter(usable).collect();
    all.sort_by_key(|s| s.at);
    let (mut past, ahead): (Vec<_>, Vec<_>) = all.into_iter().partition(|s| !s.ahead);
    let fan = past.last().copied().into_iter().chain(ahead).collect::<Vec<_>>();
    if past.len() < 2 {
        past.clear();
    }
    [past, if fan.len() < 2 { Vec::new() } else { fan }]
}

/// Band and fan, from `first` (days) on: catches before it are not drawn either.
pub(crate) fn draw(pen: Pen, stood: &[Stood], span: Span, range: &Range) -> Markup {
    let line = |places: &mut dyn Iterator<Item = (f64, f64)>| {
        let mut path = String::new();
        for (x, y) in places {
            let letter = if path.is_empty() { 'M' } else { 'L' };
            path += &format!("{letter}{} {}", n(x), n(y));
        }
        path
    };
    let [past, fan] = parts(stood);
    let draw = |places: &[&Stood], area: &'static str, middle: &'static str| {
        if places.is_empty() {
            return html! {};
        }
        let x = |s: &Stood| span.x(s.at);
        let upper = places.iter().map(|s| (x(s), range.y(s.high)));
        let lower = places.iter().rev().map(|s| (x(s), range.y(s.low)));
        let outline = format!("{}Z", line(&mut upper.chain(lower)));
        let middle_path = line(&mut places.iter().map(|s| (x(s), range.y(s.middle))));
        html! { (pen.path(area, &outline)) (pen.path(middle, &middle_path)) }
    };
    html! { (draw(&past, "stood", "stood-middle")) (draw(&fan, "ahead", "ahead-middle")) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn stood(day: i8, middle: f64, ahead: bool) -> Stood {
        let at = date(2026, 3, day).at(7, 0, 0, 0);
        Stood { at, low: middle - 1.0, middle, high: middle + 1.0, ahead }
    }

    #[test]
    fn the_fan_begins_where_the_band_ends() {
        let all = [stood(16, 31.0, true), stood(2, 30.0, false), stood(9, 30.5, false)];
        let [past, fan] = parts(&all);
        assert_eq!(past.iter().map(|s| s.middle).collect::<Vec<_>>(), [30.0, 30.5]);
        assert_eq!(fan.iter().map(|s| s.middle).collect::<Vec<_>>(), [30.5, 31.0]);
    }

    #[test]
    fn one_place_is_no_band_and_what_is_no_number_is_not_drawn() {
        assert!(parts(&[stood(2, 30.0, false)]).iter().all(Vec::is_empty));
        assert!(
            parts(&[stood(2, f64::NAN, false), stood(9, 1.0, false)]).iter().all(Vec::is_empty)
        );
    }
}
