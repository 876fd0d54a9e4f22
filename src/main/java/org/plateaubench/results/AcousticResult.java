package org.plateaubench.results;

import java.util.List;
import java.util.Optional;
import java.util.stream.Stream;

/**
 * What was heard in one night. Levels are in dB as the meter weights them.
 *
 * @param levels one for each bracket that counts, in the order in which they were listened to
 * @param line own level over speed, if it could be fitted
 * @param speedLevels one for each speed step of the thermal measurement, in plan order; empty without a line
 * @param matches one for each level step that has a speed, in plan order
 */
public record AcousticResult(
        List<Level> levels, Optional<Line> line, List<StepLevel> speedLevels, List<Match> matches) {

    /** Copies the lists. */
    public AcousticResult {
        levels = List.copyOf(levels);
        speedLevels = List.copyOf(speedLevels);
        matches = List.copyOf(matches);
    }

    /**
     * Own level at a step.
     *
     * @param step the step, as text
     * @return the level by the line; empty for a step without one
     */
    public Optional<StepLevel> ownLevel(String step) {
        Stream<StepLevel> matched = matches.stream()
                .map(m -> new StepLevel(m.step(), m.rpm(), m.ownLevelDb(), m.ownLevelExpandedDb(), m.extrapolated()));
        return Stream.concat(speedLevels.stream(), matched)
                .filter(level -> level.step().equals(step))
                .findFirst();
    }

    /**
     * One speed between two listens to the background.
     *
     * @param pass name of its pass
     * @param rpm mean speed of the fans, rpm
     * @param totalDb level with the fans, dB
     * @param backgroundDb level without them at that time, dB
     * @param driftDb by how much the background rose within the bracket, dB
     * @param gapDb total less background, dB
     * @param gapClass what the gap allows: "uncorrected", "corrected", "survey" or "upper-bound"
     * @param ownLevelDb own level by the class's correction, dB; in the last class an upper bound
     * @param errorMultiplier by how much an error of the total is larger in the own level; NaN without a gap
     * @param rejectedPercent share of the listen that did not count, per cent
     */
    public record Level(
            String pass,
            double rpm,
            double totalDb,
            double backgroundDb,
            double driftDb,
            double gapDb,
            String gapClass,
            double ownLevelDb,
            double errorMultiplier,
            double rejectedPercent) {}

    /**
     * Own level over speed.
     *
     * @param referenceRpm speed at which it is stated, rpm
     * @param ownLevelDb own level there, dB
     * @param slopeDbPerDecade slope there, dB a decade of speed
     * @param slopeExpandedDbPerDecade half-width of its 95 % interval, dB a decade
     * @param curvatureDbPerDecadeSquared curvature, dB a decade squared; 0 where none was asked for
     * @param backgroundDb mean background of the night's brackets, dB
     */
    public record Line(
            double referenceRpm,
            double ownLevelDb,
            double slopeDbPerDecade,
            double slopeExpandedDbPerDecade,
            double curvatureDbPerDecadeSquared,
            double backgroundDb) {}

    /**
     * Own level at the speed of a step, by the line.
     *
     * @param step the step, as text
     * @param rpm its speed, rpm
     * @param ownLevelDb own level at that speed, dB
     * @param ownLevelExpandedDb half-width of its 95 % interval, dB
     * @param extrapolated true if the speed lies outside the speeds that were listened to
     */
    public record StepLevel(
            String step, double rpm, double ownLevelDb, double ownLevelExpandedDb, boolean extrapolated) {}

    /**
     * The speed of a level step.
     *
     * @param step the step, as text
     * @param rpm the speed, rpm
     * @param lowRpm lower end of its 95 % interval, rpm; 0 where it has none
     * @param highRpm upper end, rpm; NaN where it has none
     * @param halfWidthPercent half the interval over the speed, per cent; NaN where an end is missing
     * @param ownLevelDb own level at that speed, dB
     * @param ownLevelExpandedDb half-width of its 95 % interval, dB
     * @param tooWide true if sets cannot be compared at this speed
     * @param extrapolated true if the speed lies outside the speeds that were listened to
     * @param levelsFrom record whose own level it is; empty if it is the plan's own
     * @param verification the listen at that speed, if there was one
     */
    public record Match(
            String step,
            double rpm,
            double lowRpm,
            double highRpm,
            double halfWidthPercent,
            double ownLevelDb,
            double ownLevelExpandedDb,
            boolean tooWide,
            boolean extrapolated,
            String levelsFrom,
            Optional<Verification> verification) {}

    /**
     * A listen at a matched speed.
     *
     * @param aboveExpectedDb total found less total expected from the line, dB
     * @param expandedDb half-width of the 95 % interval of that, dB
     * @param agrees true if they agree
     */
    public record Verification(double aboveExpectedDb, double expandedDb, boolean agrees) {}
}
