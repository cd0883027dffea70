//! A small estate with one machine of each adjuster and metering, written as its files.

use ouncewise_estate::{Estate, files};

/// The files, by name.
const FILES: [(&str, &str); 13] = [
    (
        "estate.toml",
        "[group]\nname = \"Larkfield Counters\"\ntime_zone = \"Europe/Vienna\"\ncurrency = \"EUR\"\n",
    ),
    (
        "products.toml",
        r#"
[gooseberry]
name = "Gooseberry"
density = "1.24 ± 0.01 g/mL"

[black-sesame]
name = "Black sesame"
density = "1.18 ± 0.02 g/mL"
allergens = ["sesame"]

[burnt-butter]
name = "Burnt butter caramel"
allergens = ["milk", "soya"]
"#,
    ),
    (
        "measures.toml",
        r#"
[cylinder-50]
name = "50 mL cylinder"
kind = "vessel"
division = "1 mL"
tolerance = "0.5 mL"
capacity = "50 mL"

[cylinder-250]
name = "250 mL cylinder"
kind = "vessel"
division = "2 mL"
tolerance = "1 mL"
capacity = "250 mL"

[cup-mark]
name = "cup with one mark"
kind = "vessel"
mark = "30 mL"
tolerance = "0.5 mL"
capacity = "45 mL"

[cup-2]
name = "30 mL cup"
kind = "vessel"
division = "5 mL"
tolerance = "2 mL"
capacity = "45 mL"

[jigger]
name = "jigger"
kind = "vessel"
division = "0.125 fl oz (US)"
tolerance = "0.02 fl oz (US)"
capacity = "2 fl oz (US)"

[scale-01]
name = "scale, 0.1 g"
kind = "scale"
resolution = "0.1 g"
tolerance = "0.2 g"
tared = true
"#,
    ),
    (
        "families/screw.toml",
        "name = \"Screw trim\"\nmetering = \"rate\"\n[adjuster]\nkind = \"screw\"\nper_turn = \"20 %\"\nmore = \"anticlockwise\"\nslack = \"1/8 turn\"\n[timer]\nkind = \"hand\"\nspread = \"0.10 s\"\nresolution = \"0.1 s\"\n",
    ),
    (
        "families/ring.toml",
        "name = \"Ring step\"\nmetering = \"rate\"\n[adjuster]\nkind = \"notches\"\nper_notch = \"3 %\"\nmore = \"towards +\"\n[timer]\nkind = \"machine\"\ntolerance = \"0.05 s\"\n",
    ),
    (
        "families/fixed.toml",
        "name = \"Fixed nozzle\"\nmetering = \"rate\"\n[adjuster]\nkind = \"none\"\n",
    ),
    (
        "families/number.toml",
        "name = \"Panel number\"\nmetering = \"dose\"\n[adjuster]\nkind = \"number\"\nstep = 1\nlowest = 10\nhighest = 99\n",
    ),
    (
        "families/percent.toml",
        "name = \"Panel percent\"\nmetering = \"dose\"\n[adjuster]\nkind = \"percent\"\nstep = 1\nlowest = 70\nhighest = 130\n",
    ),
    (
        "families/taught.toml",
        "name = \"Roller pump\"\nmetering = \"dose\"\n[adjuster]\nkind = \"taught\"\n",
    ),
    (
        "families/twin.toml",
        "name = \"Twin valve\"\nmetering = \"ratio\"\n[adjuster]\nkind = \"screw\"\nmore = \"clockwise\"\n",
    ),
    (
        "sites.csv",
        "site,name,measures\nfernhollow,Fernhollow Halt,cylinder = cylinder-50; tall = cylinder-250; cup = cup-mark; jigger = jigger; scale = scale-01\nmossgate,,cup = cup-2\n",
    ),
    (
        "machines.csv",
        "site,machine,name,family,serial,state\n\
         fernhollow,screw,Front counter,screw,ST-20454,open\n\
         fernhollow,ring,Ring,ring,,open\n\
         fernhollow,fixed,Fixed,fixed,,paused\n\
         fernhollow,number,Number,number,,open\n\
         fernhollow,percent,Percent,percent,,open\n\
         fernhollow,taught,Taught,taught,RP-1,open\n\
         fernhollow,twin,Twin,twin,,open\n\
         fernhollow,twelve,Long counter,screw,ST-20455,open\n\
         mossgate,screw,,screw,,open\n\
         mossgate,bare,,screw,,open\n",
    ),
    (
        "lines.csv",
        "site,machine,line,name,product,target,tolerance,draw,water,measure,setting\n\
         fernhollow,screw,1,,gooseberry,30 mL,5 %,7 s,,cylinder,\n\
         fernhollow,screw,2,,black-sesame,36 g,5 %,6 s,,scale,\n\
         fernhollow,screw,3,,burnt-butter,30 mL,8 %,7 s,,cup,\n\
         fernhollow,screw,4,,gooseberry,1 fl oz (US),5 %,7 s,,jigger,\n\
         fernhollow,screw,5,far left,gooseberry,30 mL,5 %,7 s,,,\n\
         fernhollow,screw,6,,burnt-butter,30 mL,5 %,7 s,,scale,\n\
         fernhollow,screw,7,,burnt-butter,40 mL,5 %,4 s,,cylinder,\n\
         fernhollow,screw,10,,gooseberry,60 mL,5 %,14 s,,cylinder,\n\
         fernhollow,ring,1,,gooseberry,30 mL,5 %,7 s,,cylinder,\n\
         fernhollow,fixed,1,,gooseberry,30 mL,5 %,7 s,,cylinder,\n\
         fernhollow,number,1,,gooseberry,30 mL,5 %,1 dose,,cylinder,57\n\
         fernhollow,number,2,,gooseberry,30 mL,5 %,1 dose,,cylinder,\n\
         fernhollow,percent,1,,gooseberry,24 mL,5 %,2 doses,,cylinder,100\n\
         fernhollow,taught,1,,gooseberry,30 mL,5 %,1 dose,,cylinder,\n\
         fernhollow,taught,2,,gooseberry,30 mL,8 %,1 dose,,cup,\n\
         fernhollow,taught,4,,gooseberry,15 mL,8 %,1 dose,,cup,\n\
         fernhollow,taught,3,,gooseberry,8 mL,6 %,1 dose,,cylinder,\n\
         fernhollow,twin,1,,gooseberry,30 mL,6 %,7 s,150 mL,tall,\n\
         fernhollow,twelve,1,,gooseberry,30 mL,5 %,7 s,,cylinder,\n\
         fernhollow,twelve,2,,black-sesame,36 g,5 %,6 s,,scale,\n\
         fernhollow,twelve,3,,burnt-butter,30 mL,8 %,7 s,,cup,\n\
         fernhollow,twelve,4,,gooseberry,40 mL,5 %,9 s,,cylinder,\n\
         fernhollow,twelve,5,,gooseberry,30 mL,5 %,7 s,,cylinder,\n\
         fernhollow,twelve,6,,black-sesame,36 g,5 %,6 s,,scale,\n\
         fernhollow,twelve,7,,burnt-butter,40 mL,8 %,9 s,,cylinder,\n\
         fernhollow,twelve,8,,gooseberry,40 mL,5 %,9 s,,cylinder,\n\
         fernhollow,twelve,9,,gooseberry,30 mL,5 %,7 s,,cylinder,\n\
         fernhollow,twelve,10,,black-sesame,36 g,5 %,6 s,,scale,\n\
         fernhollow,twelve,11,,burnt-butter,40 mL,8 %,9 s,,cylinder,\n\
         fernhollow,twelve,12,,gooseberry,40 mL,5 %,9 s,,cylinder,\n\
         mossgate,screw,1,,gooseberry,30 mL,5 %,7 s,,cup,\n\
         mossgate,screw,2,,black-sesame,30 mL,5 %,7 s,,cup,\n",
    ),
];

/// The estate.
pub(super) fn small() -> Estate {
    let files = FILES.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()));
    let (estate, faults) = files::read(&files.into());
    assert!(faults.iter().all(|f| f.severity != ouncewise_estate::Severity::Error), "{faults:#?}");
    estate
}
