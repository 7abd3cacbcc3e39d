//! Where a record comes to rest.

use super::{Around, Done};
use engine::doc::field::settled::Settled;
use engine::procedure::settled::{Asked, IntakeDuct, evaluate};

pub(super) fn work(asked: &Settled, around: &Around<'_>) -> Option<Done> {
    let series = around.series(&asked.series)?;
    let values = around.column(series, &asked.column, asked.measures)?;
    let result = evaluate(&Asked {
        time_s: series.time_s.clone(),
        values,
        quantity: asked.measures,
        accuracy: around.accuracy(asked.with.as_ref(), asked.measures),
        from_s: asked.from_s,
        tolerance: asked.tolerance,
        // Only the standing share is asked for, in which the wall plays no part.
        intake: asked.duct.map(|d| IntakeDuct {
            diameter_m: d.diameter_m,
            length_m: d.length_m,
            flow_m3_s: d.flow_m3_s,
            wall_kg_m: 1.0,
            wall_j_kg_k: 500.0,
            outer_m2_k_w: d.outer_m2_k_w,
            around_k: d.around_k,
        }),
    });
    match result {
        Ok(found) => Some(Done::new(&found, found.worked())),
        Err(said) => {
            around.say(said.at(asked.series.span.clone()));
            None
        }
    }
}
