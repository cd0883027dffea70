//! Figures as a crew reads them.

use ouncewise_measure::Seconds;
use ouncewise_measure::print::significant;

/// A time, rounded up: `14 s`, `95 s`, `4 min 10 s`, `12 min`.
#[must_use]
pub fn time(seconds: Seconds) -> String {
    let up = |to: f64| to * (seconds.0 / to - 1e-9).ceil().max(1.0);
    match seconds.0 {
        ..=20.0 => format!("{:.0} s", up(1.0)),
        ..=120.0 => format!("{:.0} s", up(5.0)),
        ..=600.0 => {
            let (minutes, rest) = ((up(10.0) / 60.0).floor(), up(10.0) % 60.0);
            if rest > 0.0 {
                format!("{minutes:.0} min {rest:.0} s")
            } else {
                format!("{minutes:.0} min")
            }
        }
        _ => format!("{:.0} min", up(60.0) / 60.0),
    }
}

/// A share in percent: `1 %`, `0.1 %`, `4.5 %`.
#[must_use]
pub fn percent(share: f64) -> String {
    let text = significant(100.0 * share, 2);
    let text =
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    format!("{text} %")
}

/// Line volumes: `5 volumes`, `1.2 volumes`.
pub(super) fn volumes(volumes: f64) -> String {
    let text = significant(volumes, 2);
    let text =
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    format!("{text} volume{}", if text == "1" { "" } else { "s" })
}

/// How often.
pub(super) fn times(count: u32) -> String {
    match count {
        1 => "once".into(),
        2 => "twice".into(),
        count => format!("{count} times"),
    }
}

/// What one way takes over what another does: `half the solution`.
pub(super) fn of_the_solution(ratio: f64) -> String {
    const NAMED: [(f64, &str); 8] = [
        (0.1, "a tenth of the solution"),
        (0.2, "a fifth of the solution"),
        (0.25, "a quarter of the solution"),
        (1.0 / 3.0, "a third of the solution"),
        (0.5, "half the solution"),
        (2.0 / 3.0, "two thirds of the solution"),
        (1.0, "as much solution"),
        (2.0, "twice the solution"),
    ];
    let near = NAMED.into_iter().min_by(|a, b| {
        let off = |named: f64| libm::log(ratio / named).abs();
        off(a.0).total_cmp(&off(b.0))
    });
    match near {
        Some((named, words)) if libm::log(ratio / named).abs() < 0.16 => words.into(),
        _ => format!("{} times the solution", significant(ratio, 2)),
    }
}
