package org.plateaubench.hostile;

import java.util.List;
import java.util.Locale;
import java.util.SplittableRandom;

/** Seeded draws for one use of a seed; another use has draws of its own, so that adding one changes no other. */
final class Dice {

    private final SplittableRandom random;

    Dice(long seed, String use) {
        random = new SplittableRandom(seed * 0x9E3779B97F4A7C15L ^ use.hashCode());
    }

    boolean chance(double share) {
        return random.nextDouble() < share;
    }

    double between(double low, double high) {
        return low + (high - low) * random.nextDouble();
    }

    /** Between two positive numbers, small ones as often as large ones. */
    double magnitude(double low, double high) {
        return StrictMath.exp(between(StrictMath.log(low), StrictMath.log(high)));
    }

    int whole(int low, int high) {
        return random.nextInt(low, high + 1);
    }

    long seed() {
        return random.nextInt(1, Integer.MAX_VALUE);
    }

    @SafeVarargs
    final <T> T pick(T... choices) {
        return choices[random.nextInt(choices.length)];
    }

    <T> T pick(List<T> choices) {
        return choices.get(random.nextInt(choices.size()));
    }

    /** A number as plan and bench file write it. */
    static String text(double value) {
        return String.format(Locale.ROOT, value == StrictMath.rint(value) ? "%.0f" : "%.3f", value);
    }
}
