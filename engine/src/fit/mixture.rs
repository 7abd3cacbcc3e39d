//! Draws from several posteriors, each with its share: the accounts of the readings, and the states of
//! doors that nobody noted. More are drawn while the end of some interval rests on too few.

use super::draws::{Drawing, Draws};
use super::observe::Observations;
use super::problem::{FitError, Problem};
use super::right::search::Passage;
use super::solve::Optimum;
use super::{Options, Progress, known, unseen};
use crate::house::House;
use crate::rng::Stream;
use std::ops::ControlFlow;

/// Weights of fewer draws than this tell no shape ...
const LEAST_FOR_SHAPE: usize = 40;
/// ... and what has a smaller share than this of all does not decide whether all can be trusted.
const LEAST_SHARE_FOR_SHAPE: f64 = 0.1;
/// Draws go on, half as many again at a time, while limits do not hold, to so many readings times
/// unknowns times zones times draws: on a slow laptop about half a second (a draw of 55 readings, 143
/// unknowns and 12 zones takes 1 ms there, one of 70, 156 and 4 half of that).
const MOST_WORK: f64 = 4e7;
/// More draws than this are not made for the sake of limits: the model's own errors are larger.
const MOST_TRIES: usize = 2400;

struct Part<'h> {
    drawing: Drawing<'h>,
    share: f64,
    /// Draws to hand on.
    count: usize,
    tries: usize,
    passage: Option<&'h Passage>,
}

/// A posterior that draws are made from.
#[derive(Clone, Copy)]
pub(super) struct Posterior<'h> {
    pub(super) seen: &'h Observations,
    pub(super) optimum: &'h Optimum,
    /// Its share of all.
    pub(super) share: f64,
    /// The passage that is in its house and not in the drawing.
    pub(super) passage: Option<&'h Passage>,
}

/// Draws from several posteriors, each with its share; the first has the largest.
pub(super) fn drawn(
    house: &House,
    from: &[Posterior<'_>],
    options: Options,
    progress: &mut dyn FnMut(Progress) -> ControlFlow<()>,
) -> Result<Draws, FitError> {
    let whole: f64 = from.iter().map(|f| f.share).sum();
    let mut parts: Vec<Part<'_>> = Vec::new();
    let (mut tries_done, mut draws_done, mut share_done) = (0, 0, 0.0);
    let mut cost = 0.0;
    for (at, Posterior { seen, optimum, share, passage }) in from.iter().enumerate() {
        // Up to where the draws of this and of all before it go.
        share_done += share / whole;
        let last = at + 1 == from.len();
        let up_to = |n: usize| if last { n } else { rounded(share_done * n as f64) };
        let count = up_to(options.draws).saturating_sub(draws_done);
        if count == 0 {
            continue;
        }
        let tries = up_to(options.tries).saturating_sub(tries_done).max(2 * count);
        let problem = Problem::new(passage.map_or(house, |p| &p.house), seen)?;
        cost += share / whole * (seen.list.len() * problem.len() * house.zones.len()) as f64;
        let stream = Stream::new(options.seed.wrapping_add(at as u64), "fit");
        let drawing = Drawing::new(problem, optimum, stream)?;
        draws_done += count;
        tries_done += tries;
        parts.push(Part { drawing, share: share / whole, count, tries, passage: *passage });
    }
    let most = if options.further { rounded((MOST_WORK / cost).min(MOST_TRIES as f64)) } else { 0 };
    let (mut done, mut wanted) = (0, tries_done);
    loop {
        let (before, more) = (done, (wanted - done) as f64 / tries_done as f64);
        for part in &mut parts {
            let tries = rounded(more * part.tries as f64);
            part.drawing
                .further(tries, &mut |now| progress(Progress::Draws((done + now).min(wanted), wanted)))?;
            done += tries;
        }
        let drawn = together(house, &parts);
        let holds = |p: usize| known::limits_of(house, &drawn, p).hold;
        wanted = most.min(done + done / 2);
        if wanted <= done || done == before || (0..house.params.len()).all(holds) {
            return Ok(drawn);
        }
    }
}

fn together(house: &House, parts: &[Part<'_>]) -> Draws {
    let mut drawn = Draws::default();
    for (at, part) in parts.iter().enumerate() {
        let new = part.drawing.draws(part.count);
        let tries = new.all.len();
        let as_drawn = |theta| match part.passage {
            Some(p) => unseen::as_drawn(house, p.route, theta),
            None => theta,
        };
        drawn.theta.extend(new.theta.into_iter().map(as_drawn));
        drawn.all.extend(new.all.into_iter().map(as_drawn));
        drawn.weight.extend(new.weight.iter().map(|w| w * part.share));
        drawn.effective += new.effective;
        drawn.unsolved += new.unsolved;
        let counts = tries >= LEAST_FOR_SHAPE && part.share >= LEAST_SHARE_FOR_SHAPE;
        if at == 0 || (counts && new.pareto_k > drawn.pareto_k) {
            drawn.pareto_k = new.pareto_k;
        }
    }
    drawn
}

/// A share of draws as a count.
fn rounded(share: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small positive count")]
    let count = (share + 0.5) as usize;
    count
}
