//! Workbooks for tests, of sheets with text, numbers and dates.

/// A cell.
pub enum X {
    Text(&'static str),
    Number(f64),
    /// A day, as a spreadsheet counts them: 46083 is 2 March 2026.
    Day(u32),
}

const TYPES: &str = r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="xml" ContentType="application/xml"/></Types>"#;
const RELS: &str = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;
const STYLES: &str = r#"<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="14"/></cellXfs></styleSheet>"#;
const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
const OFFICE: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";

/// The bytes of a workbook.
pub fn book(sheets: &[(&str, &[&[X]])]) -> Vec<u8> {
    let (mut names, mut rels) = (String::new(), String::new());
    let mut files = vec![
        ("[Content_Types].xml".to_owned(), TYPES.to_owned()),
        ("_rels/.rels".to_owned(), RELS.to_owned()),
        ("xl/styles.xml".to_owned(), STYLES.to_owned()),
    ];
    for (nth, (name, rows)) in sheets.iter().enumerate() {
        let nth = nth + 1;
        names += &format!(r#"<sheet name="{name}" sheetId="{nth}" r:id="rId{nth}"/>"#);
        rels += &format!(
            r#"<Relationship Id="rId{nth}" Type="{OFFICE}/worksheet" Target="worksheets/sheet{nth}.xml"/>"#
        );
        files.push((format!("xl/worksheets/sheet{nth}.xml"), sheet(rows)));
    }
    rels += &format!(r#"<Relationship Id="rId99" Type="{OFFICE}/styles" Target="styles.xml"/>"#);
    files.push((
        "xl/workbook.xml".to_owned(),
        format!(
            r#"<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><sheets>{names}</sheets></workbook>"#
        ),
    ));
    files.push((
        "xl/_rels/workbook.xml.rels".to_owned(),
        format!(r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{rels}</Relationships>"#),
    ));
    zip(&files)
}

fn sheet(rows: &[&[X]]) -> String {
    let mut text = format!(r#"<worksheet xmlns="{MAIN}"><sheetData>"#);
    for (r, row) in rows.iter().enumerate() {
        text += &format!("<row r=\"{}\">", r + 1);
        for (c, cell) in row.iter().enumerate() {
            let at = format!("{}{}", char::from(b'A' + c as u8), r + 1);
            text += &match cell {
                X::Text(t) => format!(r#"<c r="{at}" t="inlineStr"><is><t>{t}</t></is></c>"#),
                X::Number(n) => format!(r#"<c r="{at}"><v>{n}</v></c>"#),
                X::Day(n) => format!(r#"<c r="{at}" s="1"><v>{n}</v></c>"#),
            };
        }
        text += "</row>";
    }
    text + "</sheetData></worksheet>"
}

/// A ZIP file whose members are stored as they are (PKWARE APPNOTE 4.3).
fn zip(files: &[(String, String)]) -> Vec<u8> {
    let (mut out, mut directory) = (Vec::new(), Vec::new());
    for (name, text) in files {
        let at = out.len() as u32;
        let mut header = Vec::new();
        // Version, flags, method, time and date (1 January 1980).
        [20u16, 0, 0, 0, 33].iter().for_each(|n| header.extend(n.to_le_bytes()));
        let size = text.len() as u32;
        [crc32(text.as_bytes()), size, size].iter().for_each(|n| header.extend(n.to_le_bytes()));
        [name.len() as u16, 0].iter().for_each(|n| header.extend(n.to_le_bytes()));
        out.extend(b"PK\x03\x04");
        out.extend(&header);
        out.extend(name.bytes().chain(text.bytes()));
        directory.extend(b"PK\x01\x02\x14\0");
        directory.extend(&header);
        directory.extend([0u8; 10]);
        directory.extend(at.to_le_bytes());
        directory.extend(name.bytes());
    }
    let (count, at, size) = (files.len() as u16, out.len() as u32, directory.len() as u32);
    out.extend(directory);
    out.extend(b"PK\x05\x06\0\0\0\0");
    [count, count].iter().for_each(|n| out.extend(n.to_le_bytes()));
    [size, at].iter().for_each(|n| out.extend(n.to_le_bytes()));
    out.extend([0u8; 2]);
    out
}

/// CRC-32 of ISO 3309; that of `123456789` is cbf43926.
fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0u32, |mut crc, byte| {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = (crc >> 1) ^ (0xedb8_8320 & (crc & 1).wrapping_neg());
        }
        crc
    })
}

#[test]
fn the_check_value_of_crc_32() {
    assert_eq!(crc32(b"123456789"), 0xcbf4_3926);
}
