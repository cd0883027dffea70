//! A family's behaviour learnt from the group's records beside the other requests, one fit at a time.

use ouncewise_report::{Failure, LearnReport, adopting, learn};
use tokio::runtime::Handle;
use tokio::sync::Semaphore;

use crate::App;

/// A fit takes all processors for a while: one after another.
static ONE: Semaphore = Semaphore::const_new(1);

/// Learns how a family behaves, and adopts it where that is asked for and something was learnt.
///
/// None where a defect stopped it.
pub async fn learnt(app: &App, family: &str, adopt: bool) -> Option<Result<LearnReport, Failure>> {
    let _turn = ONE.acquire().await.ok()?;
    let (app, family, here) = (app.clone(), family.to_owned(), Handle::current());
    let work = move || {
        here.block_on(async {
            let threads = std::thread::available_parallelism().map_or(1, usize::from);
            let learnt = learn(app.store(), Some(&family), threads, |_, _| {}).await?;
            let drafts = if adopt { adopting(&learnt, &app.now_at()) } else { Vec::new() };
            let adopted = !drafts.is_empty();
            if adopted {
                app.store().append(drafts).await?;
            }
            let families = learnt.into_iter().map(|(family, _)| family).collect();
            Ok(LearnReport { families, adopted })
        })
    };
    tokio::task::spawn_blocking(work).await.ok()
}
