//! Medians and other percentiles, by linear interpolation between neighbours.

/// Returns a percentile, 0 to 1, of some numbers; `None` of none. Reorders them.
pub fn percentile(numbers: &mut [f32], share: f64) -> Option<f64> {
    if numbers.is_empty() {
        return None;
    }
    let at = share * (numbers.len() - 1) as f64;
    let (below, above) = (at.floor() as usize, at.ceil() as usize);
    let (_, low, rest) = numbers.select_nth_unstable_by(below, f32::total_cmp);
    let low = f64::from(*low);
    let high = if above == below { low } else { f64::from(rest.iter().copied().fold(f32::INFINITY, f32::min)) };
    Some(low + (high - low) * (at - below as f64))
}

/// Returns the median of some numbers; `None` of none. Reorders them.
pub fn median(numbers: &mut [f32]) -> Option<f64> {
    percentile(numbers, 0.5)
}

/// Returns the means over a sliding window of `width` numbers round each one; the ends are repeated beyond.
pub fn sliding_mean(numbers: &[f64], width: usize) -> Vec<f64> {
    let last = numbers.len() as isize - 1;
    let at = |place: isize| numbers[place.clamp(0, last) as usize];
    let before = (width / 2) as isize;
    let mut sum: f64 = (-before..width as isize - before).map(at).sum();
    let mut means = Vec::with_capacity(numbers.len());
    for place in 0..numbers.len() as isize {
        means.push(sum / width as f64);
        sum += at(place + width as isize - before) - at(place - before);
    }
    means
}

/// Returns the medians over a sliding window of `2 half + 1` numbers round each one; mirrored at the ends.
pub fn sliding_median(numbers: &[f32], half: usize) -> Vec<f32> {
    let last = numbers.len() as isize - 1;
    let at = |place: isize| {
        let place = place.unsigned_abs() as isize;
        numbers[(if place > last { 2 * last - place } else { place }).clamp(0, last) as usize]
    };
    let half = half as isize;
    let mut window: Vec<f32> = (-half..=half).map(at).collect();
    window.sort_unstable_by(f32::total_cmp);
    let mut medians = Vec::with_capacity(numbers.len());
    for place in 0..=last {
        medians.push(window[half as usize]);
        let (gone, come) = (at(place - half), at(place + half + 1));
        let from = window.partition_point(|number| number.total_cmp(&gone).is_lt());
        window.remove(from);
        let to = window.partition_point(|number| number.total_cmp(&come).is_lt());
        window.insert(to, come);
    }
    medians
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percentiles_lie_between_neighbours() {
        // Source: the usual linear definition, worked by hand.
        assert_eq!(median(&mut [3.0, 1.0, 2.0]), Some(2.0));
        assert_eq!(median(&mut [4.0, 1.0, 2.0, 3.0]), Some(2.5));
        assert_eq!(percentile(&mut [0.0, 10.0, 20.0, 30.0], 0.25), Some(7.5));
        assert_eq!(percentile(&mut [5.0], 0.9), Some(5.0));
        assert_eq!(percentile(&mut [], 0.5), None);
    }

    #[test]
    fn windows_slide_over_repeated_and_mirrored_ends() {
        assert_eq!(sliding_mean(&[1.0, 2.0, 6.0], 3), [4.0 / 3.0, 3.0, 14.0 / 3.0]);
        // An even window reaches one further back: two before, one after.
        assert_eq!(sliding_mean(&[4.0, 8.0, 0.0, 4.0], 4), [5.0, 4.0, 4.0, 4.0]);
        assert_eq!(sliding_median(&[1.0, 9.0, 2.0, 8.0], 1), [9.0, 2.0, 8.0, 2.0]);
    }
}
