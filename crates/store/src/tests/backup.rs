//! Backups are whole while others write, and restoring is seen.

use super::*;
use crate::{FILE, Kind, verify_file};

#[tokio::test(flavor = "multi_thread")]
async fn a_backup_under_writing_is_whole_and_restores() {
    let place = furnished().await;
    if !place.is_sqlite() {
        let refused = place.store.backup(&place.folder().join("b")).await.unwrap_err();
        assert!(refused.to_string().contains("pg_dump"), "{refused}");
        return;
    }
    let to = place.folder().join("backup.db");
    let store = &place.store;
    let writing = async {
        for _ in 0..60 {
            store.append(vec![caught("fernhollow/counter-1/1", 2, "30 mL")]).await.unwrap();
        }
    };
    let backing = async {
        let mut sizes = Vec::new();
        for _ in 0..5 {
            sizes.push(store.backup(&to).await.unwrap().records);
        }
        sizes
    };
    let ((), sizes) = tokio::join!(writing, backing);
    assert!(sizes.is_sorted());
    let kept = verify_file(&to).await.unwrap();
    assert_eq!(kept.records, sizes[4]);
    let leftovers = std::fs::read_dir(place.folder())
        .unwrap()
        .filter(|f| f.as_ref().unwrap().file_name().to_string_lossy().contains("half"));
    assert_eq!(leftovers.count(), 0);

    // Into an empty folder, and over the store it came from.
    let fresh = place.folder().join("fresh");
    let restored = Store::restore(&to, &fresh, place.options.clone()).await.unwrap();
    assert_eq!(restored.aside, None);
    let Location::Dir(dir) = &place.location else { unreachable!() };
    let held = Store::restore(&to, dir, place.options.clone()).await.unwrap_err();
    assert_eq!(held.kind(), Kind::Unavailable, "{held}");
    let Place { store, location, options, folder: _folder } = place;
    let was = store.verify().await.unwrap();
    store.close().await.unwrap();
    let Location::Dir(dir) = &location else { unreachable!() };
    let restored = Store::restore(&to, dir, options.clone()).await.unwrap();
    assert_eq!(restored.verified, kept);
    assert_eq!(verify_file(&restored.aside.unwrap()).await.unwrap(), was);
    for dir in [fresh, dir.clone()] {
        let store = Store::open_with(&Location::Dir(dir), options.clone()).await.unwrap();
        let now = store.verify().await.unwrap();
        // The backup, and one record that says so.
        assert_eq!((now.records, now.misfit), (kept.records + 1, None));
        let notes = store.notes(&Scope::group()).await.unwrap();
        assert!(notes.iter().any(|n| n.text.starts_with("restored from a backup")), "{notes:?}");
        store.close().await.unwrap();
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_damaged_backup_is_refused_and_changes_nothing() {
    let place = furnished().await;
    if !place.is_sqlite() {
        return;
    }
    let to = place.folder().join("backup.db");
    place.store.backup(&to).await.unwrap();
    let mut bytes = std::fs::read(&to).unwrap();
    // One bit within each copy of a record: SQLite may leave a stale one in unused space.
    let spots: Vec<usize> =
        (0..bytes.len()).filter(|at| bytes[*at..].starts_with(b"gooseberry")).collect();
    for spot in spots {
        bytes[spot] ^= 1;
    }
    std::fs::write(&to, bytes).unwrap();
    let Place { store, location, options, folder: _folder } = place;
    let was = store.verify().await.unwrap();
    let own = store
        .backup(&{
            let Location::Dir(d) = &location else { unreachable!() };
            d.join(FILE)
        })
        .await;
    assert_eq!(own.unwrap_err().kind(), Kind::Usage);
    store.close().await.unwrap();
    let Location::Dir(dir) = &location else { unreachable!() };
    let refused = Store::restore(&to, dir, options.clone()).await.unwrap_err();
    assert_eq!(refused.kind(), Kind::Data, "{refused}");
    let store = Store::open_with(&location, options).await.unwrap();
    assert_eq!(store.verify().await.unwrap(), was);
}

/// A damaged store that is replaced is kept with its log.
#[tokio::test(flavor = "multi_thread")]
async fn a_damaged_store_is_set_aside_and_replaced() {
    let place = furnished().await;
    if !place.is_sqlite() {
        return;
    }
    let to = place.folder().join("backup.db");
    let kept = place.store.backup(&to).await.unwrap();
    let Place { store, location, options, folder: _folder } = place;
    store.close().await.unwrap();
    let Location::Dir(dir) = &location else { unreachable!() };
    std::fs::write(dir.join(FILE), vec![7; 9000]).unwrap();
    let restored = Store::restore(&to, dir, options.clone()).await.unwrap();
    assert_eq!(std::fs::read(restored.aside.unwrap()).unwrap(), vec![7; 9000]);
    let store = Store::open_with(&location, options).await.unwrap();
    assert_eq!(store.verify().await.unwrap().records, kept.records + 1);
}

/// Every bit of the live data is watched over: bits flipped at random in a backup, which has no unused space.
#[tokio::test(flavor = "multi_thread")]
async fn flipped_bits_are_noticed() {
    let place = furnished().await;
    if !place.is_sqlite() {
        return;
    }
    place
        .store
        .append((1..=28).map(|d| caught("fernhollow/counter-1/1", d, "30 mL")).collect())
        .await
        .unwrap();
    let to = place.folder().join("backup.db");
    place.store.backup(&to).await.unwrap();
    let good = std::fs::read(&to).unwrap();
    let marks: Vec<usize> = good
        .windows(11)
        .enumerate()
        .filter(|(_, w)| *w == b"catch-taken")
        .map(|(i, _)| i)
        .collect();
    let mut seen = 0;
    for (n, mark) in marks.iter().enumerate() {
        let mut bytes = good.clone();
        // Somewhere in and around a record: its columns, bytes and leaf.
        let at = mark - 60 + (n * 37) % 300;
        if bytes[at..at + 1] == [0] {
            continue;
        }
        bytes[at] ^= 1 << (n % 8);
        std::fs::write(&to, bytes).unwrap();
        verify_file(&to).await.expect_err(&format!("a flipped bit at byte {at}"));
        seen += 1;
    }
    assert!(seen >= 20, "{seen}");
}
