//! Doses and dilutions against the rows of H §2.

use super::*;
use ouncewise_measure::quantity::Fault;

const fn bleach(percent: f64, density: f64) -> Product {
    Product::Liquid(Liquid {
        scale: LiquidScale::HypochloriteByMass,
        number: percent,
        density: Some(density),
    })
}

fn needed_millilitres(product: Product, strength: f64, litres: f64) -> f64 {
    match product.needed(MgPerLitre(strength), Millilitres(litres * 1000.0), Fill::UpTo).unwrap() {
        Needed::Volume(volume) => volume.0,
        other => panic!("{other:?}"),
    }
}

/// HY-49 (CALC): 100 mg/L in 2.5 US gal (9.4635 L) of NaDCC dihydrate: 1.708 g, with 0.9464 g of available chlorine.
#[test]
fn dry_product_is_dosed_by_its_available_chlorine() {
    let salt = Salt::DichloroisocyanurateDihydrate;
    let product = Product::Dry { available_percent: 100.0 * salt.available(), salt: Some(salt) };
    let water = read("2.5 gal (US)").volume().unwrap();
    near(water.0, 9463.5, 0.05, "water");
    let Needed::Mass(mass) = product.needed(MgPerLitre(100.0), water, Fill::UpTo).unwrap() else {
        panic!("no mass")
    };
    near(mass.0, 1.708, 0.002, "HY-49, g of product");
    near(mass.0 * salt.available(), 0.9464, 0.000_1, "HY-49, g of chlorine");
    // And back: so much in the water makes the strength.
    let mix = Mix { product, dose: dose("1.708 g"), water: read("2.5 gal (US)"), fill: Fill::UpTo };
    near(made(&mix).strength.0, 100.0, 0.1, "HY-49, back");
}

/// HY-50 (CALC; the density is assumed in the row, and an input here): 5.25 % NaOCl by mass, 1.08 g/mL, 10 L.
#[test]
fn bleach_of_5_25_percent() {
    for (strength, millilitres) in [(50.0, 9.26), (100.0, 18.5), (200.0, 37.0)] {
        near(needed_millilitres(bleach(5.25, 1.08), strength, 10.0), millilitres, 0.1, "HY-50");
    }
}

/// HY-51 (CALC; density assumed in the row): 8.25 %, 1.11 g/mL.
#[test]
fn bleach_of_8_25_percent() {
    for (strength, millilitres) in [(50.0, 5.73), (100.0, 11.5), (200.0, 22.9)] {
        near(needed_millilitres(bleach(8.25, 1.11), strength, 10.0), millilitres, 0.1, "HY-51");
    }
}

/// HY-52 (CALC), a trap: three scales of percent. 5.25 % NaOCl by mass at 1.08 g/mL is 5.00 % available chlorine by mass and
/// 5.40 trade percent.
#[test]
fn the_three_percents_are_three() {
    let by_mass =
        Liquid { scale: LiquidScale::HypochloriteByMass, number: 5.25, density: Some(1.08) };
    near(by_mass.trade_percent().unwrap(), 5.40, 0.01, "HY-52");
    let strength = |scale, density| {
        let product = Product::Liquid(Liquid { scale, number: 5.25, density });
        made(&Mix { product, dose: dose("20 mL"), water: read("10 L"), fill: Fill::UpTo })
            .strength
            .0
    };
    let hypochlorite = strength(LiquidScale::HypochloriteByMass, Some(1.08));
    let available = strength(LiquidScale::AvailableByMass, Some(1.08));
    let trade = strength(LiquidScale::TradePercent, None);
    near(hypochlorite, 108.0, 0.1, "w/w NaOCl");
    near(available, 113.4, 0.1, "w/w available");
    near(trade, 105.0, 0.1, "trade");
    // The same stuff on each scale makes the same solution.
    for (scale, number, density) in [
        (LiquidScale::AvailableByMass, 5.25 * Salt::SodiumHypochlorite.available(), Some(1.08)),
        (LiquidScale::TradePercent, by_mass.trade_percent().unwrap(), None),
        (LiquidScale::ActiveMgPerLitre, 1e4 * by_mass.trade_percent().unwrap(), None),
    ] {
        let product = Product::Liquid(Liquid { scale, number, density });
        let same =
            made(&Mix { product, dose: dose("20 mL"), water: read("10 L"), fill: Fill::UpTo });
        near(same.strength.0, hypochlorite, 1e-9, "the same on another scale");
    }
}

/// A percent by mass needs no density for a dose that was weighed, and has no answer without one for a dose by volume.
#[test]
fn no_density_is_assumed() {
    let product =
        Product::Liquid(Liquid { scale: LiquidScale::AvailableByMass, number: 5.0, density: None });
    let mix = |text: &str| Mix { product, dose: dose(text), water: read("10 L"), fill: Fill::UpTo };
    near(made(&mix("20 g")).strength.0, 100.0, 1e-9, "weighed");
    let faults = mix("20 mL").made(None).unwrap_err();
    assert_eq!(faults[0].key, "dose");
    assert!(faults[0].mend.contains("density"), "{}", faults[0]);
    let trade =
        Product::Liquid(Liquid { scale: LiquidScale::TradePercent, number: 5.0, density: None });
    assert!(Mix { product: trade, ..mix("20 g") }.made(None).is_err());
}

/// HY-53 (CALC, exact): 50,000 mg/L stock to 20 L at 200 mg/L: 80 mL.
#[test]
fn c1_v1_is_c2_v2() {
    let stock = Product::Liquid(Liquid {
        scale: LiquidScale::ActiveMgPerLitre,
        number: 50_000.0,
        density: None,
    });
    near(needed_millilitres(stock, 200.0, 20.0), 80.0, 1e-9, "HY-53");
    let percent =
        Product::Liquid(Liquid { scale: LiquidScale::TradePercent, number: 5.0, density: None });
    near(needed_millilitres(percent, 200.0, 20.0), 80.0, 1e-9, "HY-53 by trade percent");
    // Poured into 20 L of water it takes a little more: the dose adds its own volume.
    let Needed::Volume(into) =
        stock.needed(MgPerLitre(200.0), Millilitres(20_000.0), Fill::Into).unwrap()
    else {
        panic!()
    };
    near(into.0, 80.0 * 50_000.0 / 49_800.0, 1e-9, "into");
    let mix = Mix { product: stock, dose: dose("80 mL"), water: read("20 L"), fill: Fill::Into };
    near(made(&mix).strength.0, 200.0 * 20_000.0 / 20_080.0, 1e-9, "into, back");
}

/// HY-54 (CALC), a trap: a packet for 100 mg/L in 2.5 US gal, in 10 L, in 2.5 imperial gal (11.365 L), in 1 US gal.
#[test]
fn a_packet_in_the_wrong_vessel() {
    for (water, strength) in [
        ("2.5 gal (US)", 100.0),
        ("10 L", 94.6),
        ("2.5 gal (imperial)", 83.3),
        ("1 gal (US)", 250.0),
    ] {
        near(made(&packet_in(water)).strength.0, strength, 0.1, water);
    }
}

/// A bare gallon is refused with the choices, and so is a bare ounce.
#[test]
fn a_bare_gallon_is_refused() {
    for text in ["2.5 gal", "2.5 gallons", "1 oz"] {
        let error = text.parse::<Quantity>().unwrap_err();
        assert_eq!(error.fault, Fault::WhichUnit, "{text}");
    }
    let mend = "2.5 gal".parse::<Quantity>().unwrap_err().mend;
    assert!(mend.contains("gal (US)") && mend.contains("gal (imperial)"), "{mend}");
}

/// HY-56 (CALC): 0.9464 g makes 50 to 200 mg/L in 4.73 to 18.9 L, and 100 to 200 mg/L in 4.73 to 9.46 L.
#[test]
fn a_packet_has_a_window_of_water() {
    let litres = |from, to| {
        let (least, most) = packet_in("10 L").water_for(MgPerLitre(from), MgPerLitre(to)).unwrap();
        (least.0 / 1000.0, most.0 / 1000.0)
    };
    let (least, most) = litres(50.0, 200.0);
    near(least, 4.73, 0.01, "HY-56");
    near(most, 18.9, 0.05, "HY-56");
    let (least, most) = litres(100.0, 200.0);
    near(least, 4.73, 0.01, "HY-56");
    near(most, 9.46, 0.01, "HY-56");
    assert!(packet_in("10 L").water_for(MgPerLitre(200.0), MgPerLitre(50.0)).is_err());
}

/// HY-57 (JUDGE): the water goes with the number of pieces, and a piece is never split: the fewest whole ones that reach the
/// strength, and the water that fits them.
#[test]
fn pieces_are_whole_and_the_water_fits_them() {
    for (litres, count, water) in [
        (9.463_529_46, 1, 9.4635),
        (10.0, 2, 18.927),
        (2.0, 1, 9.4635),
        (28.390_588_38, 3, 28.3906),
    ] {
        let needed =
            PACKET.needed(MgPerLitre(100.0), Millilitres(litres * 1000.0), Fill::UpTo).unwrap();
        let Needed::Pieces { count: found, water: fits } = needed else { panic!("{needed:?}") };
        assert_eq!(found, count, "{litres} L");
        near(fits.0 / 1000.0, water, 1e-3, "water");
    }
    let two = Mix { dose: dose("2 sachets"), ..packet_in("5 gal (US)") };
    near(made(&two).strength.0, 100.0, 1e-6, "two in twice the water");
}

/// A quat or an iodine by what its label says one dilution gives.
#[test]
fn a_labels_own_dilution_scales() {
    let own = Dilution {
        dose: dose("1 fl oz (US)"),
        water: read("4 gal (US)"),
        fill: Fill::UpTo,
        gives: MgPerLitre(200.0),
    };
    let product = Product::ByLabel(own);
    let strength = |text: &str, water: &str| {
        made(&Mix { product, dose: dose(text), water: read(water), fill: Fill::UpTo }).strength.0
    };
    near(strength("1 fl oz (US)", "4 gal (US)"), 200.0, 1e-9, "as the label says");
    near(strength("2 fl oz (US)", "4 gal (US)"), 400.0, 1e-9, "twice");
    near(
        strength("30 mL", "15 L"),
        200.0 * (30.0 / 29.573_529_562_5) * (15_141.647_136 / 15_000.0),
        1e-6,
        "metric",
    );
    // Sachets in the same way; and the dose's own volume where the label pours it in.
    let sachet = Product::ByLabel(Dilution {
        dose: dose("1 sachet"),
        water: read("2.5 gal (US)"),
        fill: Fill::Into,
        gives: MgPerLitre(100.0),
    });
    near(
        made(&Mix {
            product: sachet,
            dose: dose("1 sachet"),
            water: read("10 L"),
            fill: Fill::Into,
        })
        .strength
        .0,
        94.6,
        0.1,
        "sachet",
    );
    let poured = Product::ByLabel(Dilution {
        dose: dose("100 mL"),
        water: read("900 mL"),
        fill: Fill::Into,
        gives: MgPerLitre(200.0),
    });
    near(
        made(&Mix { product: poured, dose: dose("100 mL"), water: read("1 L"), fill: Fill::UpTo })
            .strength
            .0,
        200.0,
        1e-9,
        "poured",
    );
}

/// Sachets by mass and share; more available chlorine than the pure salt has (HY-47, CALC) is a slip of the label's reader.
#[test]
fn a_share_over_the_pure_salts_is_refused() {
    let salt = Some(Salt::DichloroisocyanurateDihydrate);
    let piece = |percent| {
        Product::Pieces(Piece::Share { mass: Grams(1.7), available_percent: percent, salt })
    };
    near(piece(55.4).active(DoseRead::Pieces(2)).unwrap().0, 1.8836, 1e-9, "two pieces");
    assert_eq!(piece(99.0).active(DoseRead::Pieces(1)).unwrap_err().key, "available_percent");
    assert!(Product::Dry { available_percent: 99.0, salt: None }.active(dose("1 g")).is_ok());
    // HY-47: 91.53 % of trichloroisocyanuric acid is the most of any isocyanurate; a label may round it up.
    let of = |chemistry, available_percent| {
        Product::Dry { available_percent, salt: Salt::strongest(chemistry) }.active(dose("1 g"))
    };
    assert!(of(Chemistry::Isocyanurate, 92.0).is_ok());
    let refused = of(Chemistry::Isocyanurate, 92.1).unwrap_err();
    assert!(refused.what.contains("91.5 %"), "{}", refused.what);
    assert!(of(Chemistry::Hypochlorite, 99.0).is_ok());
}

/// HY-53 (CALC) is c₁V₁ = c₂V₂ with V₂ over V₁: nothing that is made is stronger than its stock.
#[test]
fn a_solution_stronger_than_its_stock_is_refused() {
    let trade =
        Product::Liquid(Liquid { scale: LiquidScale::TradePercent, number: 5.0, density: None });
    let available = Liquid { scale: LiquidScale::AvailableByMass, number: 5.0, density: Some(1.1) };
    let by_mass = Product::Liquid(Liquid { density: None, ..available });
    let dry = Product::Dry { available_percent: 56.0, salt: None };
    let packet =
        Product::Pieces(Piece::Share { mass: Grams(1.7), available_percent: 56.0, salt: None });
    let mix = |product, put: &str, water: &str, fill| {
        Mix { product, dose: dose(put), water: read(water), fill }.made(None)
    };
    for (product, put, water) in [
        (trade, "30 mL", "1 mL"),
        (trade, "30 mL", "29 mL"),
        (Product::Liquid(available), "33 g", "29 mL"),
        (by_mass, "30 g", "10 mL"),
        (dry, "10 g", "9 mL"),
        (packet, "2 sachets", "3 mL"),
        (PACKET, "1 sachet", "0.9 mL"),
    ] {
        let faults = mix(product, put, water, Fill::UpTo).unwrap_err();
        assert_eq!(faults[0].key, "water", "{put} in {water}");
        assert!(faults[0].what.contains("stronger than the product"), "{}", faults[0].what);
    }
    // All of it is product: as strong as the stock, and not stronger. What goes into water is always weaker.
    near(mix(trade, "30 mL", "30 mL", Fill::UpTo).unwrap().strength.0, 50_000.0, 1e-6, "stock");
    let poured = mix(trade, "30 mL", "1 mL", Fill::Into).unwrap().strength.0;
    assert!(poured < 50_000.0, "{poured}");
}

/// What cannot be is refused with its field and how to mend it, all at once.
#[test]
fn every_fault_of_a_mix_is_named_at_once() {
    let stated = StatedErrors {
        water: Some(Stated { half_width: 0.9, shape: Shape::Limits }),
        ..StatedErrors::default()
    };
    let mix = Mix { dose: dose("20 mL"), water: read("7 s"), ..packet_in("1 L") };
    let faults = mix.made(Some(&stated)).unwrap_err();
    let keys: Vec<&str> = faults.iter().map(|fault| fault.key.as_str()).collect();
    assert_eq!(keys, ["dose", "water", "water_error"]);
    assert!(faults.iter().all(|fault| !fault.what.is_empty() && !fault.mend.is_empty()));
    let refused = |product: Product, text: &str| product.active(dose(text)).is_err();
    assert!(refused(Product::Pieces(Piece::Available(Grams(0.0))), "1 sachet"));
    assert!(refused(Product::Pieces(Piece::Available(Grams(f64::NAN))), "1 sachet"));
    assert!(refused(bleach(105.0, 1.08), "1 mL"));
    assert!(refused(bleach(5.0, -1.0), "1 mL"));
    assert!(refused(Product::Dry { available_percent: 0.0, salt: None }, "1 g"));
    assert!(packet_in("0 L").made(None).is_err());
    // No solution is stronger than what it is made from.
    assert!(bleach(0.01, 1.0).needed(MgPerLitre(200.0), Millilitres(1000.0), Fill::UpTo).is_err());
    assert!(PACKET.needed(MgPerLitre(0.0), Millilitres(1000.0), Fill::UpTo).is_err());
    assert!(PACKET.needed(MgPerLitre(1e30), Millilitres(1e30), Fill::UpTo).is_err());
}
