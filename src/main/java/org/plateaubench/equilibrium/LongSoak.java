package org.plateaubench.equilibrium;

import java.util.Optional;

/**
 * What a commissioning soak of three hours or more says about a bench: time constants of the loop and of its slow mode,
 * and by how much the ambient probe lags. All are fitted together: the coolant is the ambient as the loop passes it on,
 * and an approach of one or two exponentials on top of it.
 *
 * @param fastTimeConstantSeconds time constant of the loop, s
 * @param fastErrorSeconds its standard error, s
 * @param slowMode the slow mode; empty where none shows
 * @param probeLag lag of the ambient probe; empty where the ambient changed too little to tell
 * @param riseKelvin rise that is approached, K
 */
public record LongSoak(
        double fastTimeConstantSeconds,
        double fastErrorSeconds,
        Optional<SlowMode> slowMode,
        Optional<ProbeLag> probeLag,
        double riseKelvin) {

    /**
     * The slow mode.
     *
     * @param timeConstantSeconds time constant, s
     * @param errorSeconds its standard error, s
     * @param share share of the slow mode in the whole approach, 0 to 0.5
     * @param shareError its standard error
     */
    public record SlowMode(double timeConstantSeconds, double errorSeconds, double share, double shareError) {}

    /**
     * Lag of the ambient probe, beyond that of the coolant probe.
     *
     * @param timeConstantSeconds time constant, s
     * @param errorSeconds its standard error, s
     */
    public record ProbeLag(double timeConstantSeconds, double errorSeconds) {}

    /** How many standard errors make a finding. */
    private static final double CLEARLY = 3.0;

    /** Two modes nearer to each other than this are one. */
    private static final double LEAST_RATIO = 2.0;

    private static final int FEWEST_BLOCKS = 64;

    /**
     * Judges a soak.
     *
     * @param coolantAndAmbient coolant in the first column, ambient in the second, °C, from about a minute after the heat
     *     was switched on to the end, at one speed and one power
     * @return what it says; empty where no approach shows
     * @throws IllegalArgumentException if there are fewer than 64 blocks of data
     */
    public static Optional<LongSoak> judge(BlockMeans coolantAndAmbient) {
        if (coolantAndAmbient.size() < FEWEST_BLOCKS) {
            throw new IllegalArgumentException("a long soak is judged from " + FEWEST_BLOCKS
                    + " blocks of readings or more, found " + coolantAndAmbient.size());
        }
        SoakModel model = new SoakModel(coolantAndAmbient);
        return model.firstGuess()
                .flatMap(guess -> model.fit(model.secondGuess(guess))
                        .filter(LongSoak::tellsModesApart)
                        .or(() -> model.fit(guess)));
    }

    private boolean tellsModesApart() {
        SlowMode slow = slowMode.orElseThrow();
        return slow.share > CLEARLY * slow.shareError
                && slow.share < 0.5
                && slow.timeConstantSeconds > LEAST_RATIO * fastTimeConstantSeconds
                && slow.timeConstantSeconds > CLEARLY * slow.errorSeconds;
    }
}
