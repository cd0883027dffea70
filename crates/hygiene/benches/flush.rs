//! How long an answer about a line takes: all of them are to be well under 5 ms.

use divan::{Bencher, black_box};
use ouncewise_hygiene::drain::Drain;
use ouncewise_hygiene::fluid::{Diffusivity, Fluid};
use ouncewise_hygiene::flush::{Allowed, DRINKING_WATER, Flush, Spreads, Want};
use ouncewise_hygiene::line::{Feed, Line, Metres, Millimetres, MlPerSecond, cold};
use ouncewise_hygiene::prime::{Before, prime};
use ouncewise_hygiene::strength::MgPerLitre;
use ouncewise_measure::print::Units;
use ouncewise_measure::{Celsius, Seconds};

const AT: Celsius = Celsius(20.0);
const SYRUP: Fluid = Fluid::Syrup { brix: 60.0 };

fn main() {
    divan::main();
}

fn line() -> Line {
    Line::of_one_tube(Millimetres(6.35), Metres(3.0)).that_drains()
}

fn flush() -> Flush {
    Flush::new(&line(), MlPerSecond(5.0), SYRUP, Fluid::Water, AT).expect("a line that is known")
}

/// From the line to every way in words.
#[divan::bench]
fn advice(bencher: Bencher<'_, '_>) {
    let allowed = Allowed { pause: Some(Seconds(180.0)), drain: Drain::default() };
    let want = Want::line(0.01).expect("1 %");
    bencher.bench(|| black_box(flush()).advise(black_box(want), &allowed));
}

/// The least time.
#[divan::bench]
fn least(bencher: Bencher<'_, '_>) {
    let want = Want::outlet(0.01).expect("1 %");
    bencher.bench(|| black_box(flush()).least(black_box(want)));
}

/// A purge, at whatever spreading is worst.
#[divan::bench]
fn purge(bencher: Bencher<'_, '_>) {
    let want = Want::purged(MgPerLitre(200.0), DRINKING_WATER).expect("strengths");
    bencher.bench(|| {
        let flush =
            flush().spreading(Spreads::UpTo(Diffusivity::SANITISER)).expect("a diffusivity");
        black_box(flush).volumes_for(black_box(want))
    });
}

/// Two hundred points of a chart for each way.
#[divan::bench]
fn chart(bencher: Bencher<'_, '_>) {
    let allowed = Allowed { pause: Some(Seconds(180.0)), drain: Drain::default() };
    let flush = flush();
    let advice = flush.advise(Want::line(0.01).expect("1 %"), &allowed).expect("advice");
    bencher.bench(|| {
        let course = |plan| flush.course(plan, &allowed.drain, Seconds(300.0), 200);
        advice.plans.iter().map(course).collect::<Vec<_>>()
    });
}

/// Filling with product into water.
#[divan::bench]
fn priming(bencher: Bencher<'_, '_>) {
    let line = line();
    bencher.bench(|| prime(black_box(&line), MlPerSecond(5.0), SYRUP, Before::Water, AT, 0.01));
}

/// What cold does.
#[divan::bench]
fn in_the_cold(bencher: Bencher<'_, '_>) {
    let line = line();
    bencher.bench(|| {
        cold(black_box(&line), Feed::PressureThroughTube, SYRUP, AT, Celsius(5.0), Units::Metric)
    });
}
