/// The bits of three bytes by turns: the highest of red, of green and of blue come first. Colours
/// that share their leading bits lie in the same cube.
pub(crate) fn interleaved(colour: [u8; 3]) -> u32 {
    let [red, green, blue] = colour.map(|sample| SPREAD[usize::from(sample)]);
    red << 2 | green << 1 | blue
}

/// The bits of a byte three places apart.
const SPREAD: [u32; 256] = {
    let mut spread = [0; 256];
    let mut sample = 0_u32;
    while sample < 256 {
        let mut bit = 0;
        while bit < 8 {
            spread[sample as usize] |= (sample >> bit & 1) << (3 * bit);
            bit += 1;
        }
        sample += 1;
    }
    spread
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bits_come_by_turns_from_the_highest_on() {
        assert_eq!(interleaved([0x80, 0, 0]), 1 << 23);
        assert_eq!(interleaved([0, 1, 0]), 1 << 1);
        assert_eq!(interleaved([0, 0, 0b101]), 0b1_000_001);
        assert_eq!(interleaved([255; 3]), (1 << 24) - 1);
    }
}
