//! What people call things in their sheets, as data: English, Spanish and German.
//! Common practice, no source. All words are in the form that [`phrase`] gives.

use super::Means;

/// Headings, most telling first within each meaning.
#[rustfmt::skip]
pub(super) const HEADINGS: &[(Means, &[&str])] = &[
    (Means::SiteNumber, &[
        "store number", "store no", "store id", "store code", "site number", "site no", "site id",
        "site code", "restaurant number", "restaurant no", "location id", "numero de tienda",
        "no tienda", "codigo de tienda", "filialnummer", "filial nr", "filiale nr", "standort nr",
        "marktnummer",
    ]),
    (Means::Site, &[
        "site", "store", "location", "restaurant", "branch", "shop", "outlet", "kitchen",
        "store name", "site name", "counter", "tienda", "sucursal", "restaurante", "sitio",
        "local", "ubicacion", "filiale", "standort", "betrieb", "markt", "laden", "ort",
        "where", "donde", "wo",
    ]),
    (Means::Serial, &[
        "serial", "serial number", "serial no", "sn", "s n", "numero de serie", "no de serie",
        "seriennummer", "serien nr",
    ]),
    (Means::Machine, &[
        "machine", "dispenser", "equipment", "tower", "machine name", "machine id", "machine no",
        "maquina", "dispensador", "equipo", "maschine", "geraet", "anlage", "spender", "automat",
    ]),
    (Means::Product, &[
        "product", "flavor", "flavour", "syrup", "sauce", "item", "ingredient", "syrup flavor",
        "producto", "sabor", "jarabe", "salsa", "produkt", "sorte", "geschmack", "sirup",
        "artikel", "sosse",
    ]),
    (Means::Line, &[
        "line", "line no", "line number", "valve", "nozzle", "head", "channel", "lane", "linea",
        "valvula", "boquilla", "leitung", "ventil", "duese", "linie", "hahn", "kanal",
    ]),
    (Means::Target, &[
        "target", "spec", "standard", "goal", "should be", "recipe", "target amount", "set point",
        "setpoint", "nominal", "objetivo", "meta", "receta", "especificacion", "soll", "sollwert",
        "ziel", "vorgabe", "rezept",
    ]),
    (Means::Tolerance, &[
        "tolerance", "tol", "allowed", "limit", "limits", "tolerancia", "toleranz", "grenze",
    ]),
    (Means::Water, &[
        "water", "water amount", "agua", "wasser",
    ]),
    (Means::Temperature, &[
        "temp", "temperature", "product temp", "temperatura", "temperatur",
    ]),
    (Means::Seconds, &[
        "seconds", "secs", "sec", "draw time", "fill time", "pour time", "duration", "run time",
        "runtime", "dispense time", "stopwatch", "timer", "time sec", "time seconds", "segundos",
        "seg", "tiempo", "tiempo de llenado", "sekunden", "sek", "dauer", "laufzeit", "zapfzeit",
        "fuellzeit",
    ]),
    (Means::Doses, &[
        "doses", "dose count", "pumps", "shots", "draws", "pulls", "no of pumps", "no of doses",
        "bombeos", "dosis", "dosen", "huebe", "anzahl", "pumpstoesse",
    ]),
    (Means::Date, &[
        "date", "day", "when", "check date", "date checked", "week of", "week", "week ending",
        "week commencing", "fecha", "dia", "semana", "datum", "tag", "woche", "kw", "am",
    ]),
    (Means::Time, &[
        "time", "hour", "time of day", "clock", "hora", "uhrzeit", "zeit",
    ]),
    (Means::Unit, &[
        "unit", "units", "uom", "unit of measure", "unidad", "unidades", "einheit",
    ]),
    (Means::Measure, &[
        "measure", "measuring cup", "cup used", "cup", "vessel", "scale", "measured with", "tool",
        "vaso", "medidor", "balanza", "bascula", "messbecher", "becher", "waage", "messgefaess",
        "gemessen mit",
    ]),
    (Means::By, &[
        "by", "who", "initials", "employee", "operator", "checked by", "done by", "crew",
        "technician", "team member", "signed", "signature", "manager", "name", "quien", "nombre",
        "iniciales", "empleado", "hecho por", "realizado por", "firma", "wer", "kuerzel",
        "mitarbeiter", "geprueft von", "unterschrift", "person",
    ]),
    (Means::State, &[
        "state", "found left", "found or left", "as found as left", "before after",
        "before or after", "condition", "estado", "zustand", "status", "antes despues",
        "vorher nachher",
    ]),
    (Means::Note, &[
        "note", "notes", "comment", "comments", "remark", "remarks", "observations", "issue",
        "issues", "nota", "notas", "comentario", "comentarios", "observaciones", "notiz",
        "notizen", "bemerkung", "bemerkungen", "kommentar", "anmerkung", "anmerkungen", "hinweis",
    ]),
    (Means::Done, &[
        "done", "ok", "checked", "calibrated", "calibrated y n", "pass", "pass fail", "verified",
        "complete", "completed", "check", "hecho", "calibrado", "revisado", "erledigt",
        "kalibriert", "geprueft", "i o",
    ]),
    (Means::Adjusted, &[
        "adjusted", "adjustment", "adjust", "adj", "action", "action taken", "correction", "turns",
        "ajuste", "ajustado", "accion", "einstellung", "justiert", "justierung", "korrektur",
        "nachgestellt", "massnahme",
    ]),
    (Means::Amount, &[
        "amount", "volume", "reading", "measured", "actual", "result", "qty", "quantity", "output",
        "yield", "weight", "measured amount", "actual amount", "catch", "caught", "portion",
        "pour", "dispensed", "cantidad", "volumen", "lectura", "medido", "medida", "resultado",
        "peso", "menge", "messwert", "ist", "istwert", "gemessen", "gewicht", "ergebnis",
        "ablesung", "ml", "oz",
    ]),
];

/// Words in a heading or a cell for before anything was touched.
#[rustfmt::skip]
pub(super) const FOUND: &[&str] = &[
    "as found", "found", "before", "pre", "initial", "before adjustment", "pre adjustment",
    "antes", "inicial", "vorher", "vor", "davor", "gefunden",
];
/// Words in a heading or a cell for after the last thing that was done.
#[rustfmt::skip]
pub(super) const LEFT: &[&str] = &[
    "as left", "left", "after", "post", "final", "after adjustment", "post adjustment",
    "adjusted to", "despues", "nachher", "nach", "danach", "hinterlassen",
];

/// Cells that say that a line was seen to, and nothing more.
#[rustfmt::skip]
pub(super) const CLAIMS: &[&str] = &[
    "ok", "okay", "o k", "done", "x", "yes", "y", "good", "fine", "pass", "passed", "checked",
    "calibrated", "in spec", "within spec", "true", "complete", "si", "bien", "hecho", "listo",
    "correcto", "bueno", "ja", "gut", "erledigt", "in ordnung", "i o", "passt", "geprueft",
];
/// Signs that say the same.
pub(super) const TICKS: &[&str] = &["✓", "✔", "☑", "✅", "√", "👍"];
/// Cells that say that nothing was read.
#[rustfmt::skip]
pub(super) const NOTHING: &[&str] = &[
    "n a", "na", "none", "nil", "no", "n", "closed", "not done", "skipped", "missed", "no reading",
    "nicht gemacht", "nein", "geschlossen", "entfaellt", "cerrado", "ninguno", "sin lectura",
    "false",
];
/// What a totals row begins with.
#[rustfmt::skip]
pub(super) const TOTALS: &[&str] = &[
    "total", "totals", "sum", "subtotal", "sub total", "grand total", "average", "avg", "mean",
    "count", "min", "max", "summe", "gesamt", "gesamtsumme", "durchschnitt", "mittel",
    "mittelwert", "anzahl", "suma", "promedio", "media", "minimum", "maximum", "std dev",
];
/// Words over readings that only count them.
pub(super) const SAMPLE_WORDS: &[&str] = &[
    "first",
    "second",
    "third",
    "sample",
    "trial",
    "test",
    "try",
    "run",
    "pull",
    "reading",
    "measurement",
    "attempt",
    "messung",
    "probe",
    "versuch",
    "lectura",
    "prueba",
    "muestra",
    "primera",
    "segunda",
    "tercera",
];
/// Words before a name or a number that are no part of it.
#[rustfmt::skip]
pub(super) const PREFIXES: &[&str] = &[
    "line", "valve", "nozzle", "head", "flavor", "flavour", "syrup", "linea", "leitung", "ventil",
    "valvula", "no", "nr", "site", "store", "location", "restaurant", "filiale", "tienda",
    "machine", "maschine", "maquina",
];

/// Month names, by their beginnings; English, Spanish, German.
pub(super) const MONTHS: [&[&str]; 12] = [
    &["jan", "ene", "jaen"],
    &["feb"],
    &["mar", "maer", "mrz"],
    &["apr", "abr"],
    &["may", "mai"],
    &["jun"],
    &["jul"],
    &["aug", "ago"],
    &["sep", "set"],
    &["oct", "okt"],
    &["nov"],
    &["dec", "dez", "dic"],
];

/// Words of Spanish and German headings, which date by day first.
#[rustfmt::skip]
pub(super) const DAY_FIRST: &[&str] = &[
    "fecha", "tienda", "linea", "cantidad", "sabor", "notas", "segundos", "sucursal", "antes",
    "despues", "datum", "filiale", "leitung", "menge", "sorte", "sekunden", "bemerkung", "vorher",
    "nachher", "standort",
];

/// Lower case, plain letters, one space for everything between words; `#` is `no`.
pub(super) fn phrase(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars().flat_map(char::to_lowercase) {
        let plain: &str = match c {
            'a'..='z' | '0'..='9' => {
                out.push(c);
                continue;
            }
            'ä' => "ae",
            'ö' => "oe",
            'ü' => "ue",
            'ß' => "ss",
            'á' | 'à' | 'â' | 'ã' => "a",
            'é' | 'è' | 'ê' => "e",
            'í' | 'ì' | 'î' => "i",
            'ó' | 'ò' | 'ô' | 'õ' => "o",
            'ú' | 'ù' | 'û' => "u",
            'ñ' => "n",
            'ç' => "c",
            '#' | '№' | 'º' => " no ",
            '\'' | '’' => "",
            c if c.is_alphanumeric() => {
                out.push(c);
                continue;
            }
            _ => " ",
        };
        out.push_str(plain);
    }
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether a phrase holds another as whole words.
pub(super) fn holds(phrase: &str, words: &str) -> bool {
    phrase.match_indices(words).any(|(at, _)| {
        let end = at + words.len();
        (at == 0 || phrase.as_bytes()[at - 1] == b' ')
            && (end == phrase.len() || phrase.as_bytes()[end] == b' ')
    })
}

/// What a heading means, and how surely: 2 is the whole phrase, 1 a part of it.
pub(super) fn heading(phrase: &str) -> Option<(Means, u8)> {
    let whole = HEADINGS.iter().find(|(_, words)| words.contains(&phrase));
    if let Some((means, _)) = whole {
        return Some((*means, 2));
    }
    let longest = HEADINGS
        .iter()
        .flat_map(|(means, words)| words.iter().map(move |w| (*means, *w)))
        .filter(|(_, w)| w.len() > 2 && holds(phrase, w))
        .max_by_key(|(_, w)| w.len());
    longest.map(|(means, _)| (means, 1))
}
