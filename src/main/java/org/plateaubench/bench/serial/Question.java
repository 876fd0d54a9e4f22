package org.plateaubench.bench.serial;

import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.ChannelSpec.Range;
import org.plateaubench.benchfile.ChannelSpec.Source.Ask;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Unit;

/**
 * One thing that is asked at each tick, and how its answer becomes a reading. An answer is taken for a number only if it
 * is one to the last character: a decimal comma, a unit that sticks to it or a stray byte would otherwise make a wrong
 * number of it.
 *
 * @param text what is sent, without line end
 * @param match what the answer must match, its first group being the number; empty: the whole answer
 * @param unit unit of the reading
 * @param scale what one unit of the answer is worth in the unit of the reading
 * @param valid range of believable readings, if stated
 */
record Question(String text, Optional<Pattern> match, Unit unit, double scale, Optional<Range> valid) {

    /** NR1, NR2 and NR3 of IEEE 488.2: integer, decimal point, exponent. */
    private static final Pattern NUMBER =
            Pattern.compile("[-+]?(?:[0-9]{1,40}(?:\\.[0-9]{0,40})?|\\.[0-9]{1,40})(?:[eE][-+]?[0-9]{1,3})?");

    /** A sign, digits, a mark or an exponent of the same number in front of a part of it: "-" before "3.25". */
    private static final Pattern BEGINS_BEFORE = Pattern.compile("(?:-|[0-9]|[0-9][.,]|[0-9][eE]\\+?)$");

    /** The same number going on behind a part of it: ",5" behind "22", "E+01" behind "2.85". */
    private static final Pattern GOES_ON = Pattern.compile("^(?:[0-9]|[.,][0-9]|[eE][-+]?[0-9])");

    /** SCPI-1999 has 9.9E37 for infinity and 9.91E37 for not-a-number; rounding in single precision stays above this. */
    private static final double NO_NUMBER = 9.8e37;

    private static final Pattern NO_NUMBER_WORD = Pattern.compile("[-+]?(?:NAN|INF|NINF)", Pattern.CASE_INSENSITIVE);

    /** What digital thermometers on a one-wire bus give for a probe that does not answer, °C. */
    private static final double LOST_PROBE_CELSIUS = -127.0;

    private static final double SECONDS_PER_MINUTE = 60.0;

    /**
     * The question for a channel.
     *
     * @param channel a channel of a serial device
     * @return its question
     * @throws IllegalArgumentException if the channel is not asked for over a line
     */
    static Question of(ChannelSpec channel) {
        if (channel.source() instanceof Ask ask) {
            return new Question(
                    ask.question(),
                    ask.match(),
                    channel.unit(),
                    // A tachometer is answered for as a pulse frequency, Hz.
                    channel.tachometerPulses().isPresent()
                            ? SECONDS_PER_MINUTE / channel.tachometerPulses().getAsInt()
                            : 1.0,
                    channel.believable());
        }
        throw new IllegalArgumentException("channel " + channel.name() + " is not asked for over a line");
    }

    /**
     * Makes a reading of an answer whose number has a decimal point.
     *
     * @param answer the answer to this question, and to no other
     * @return the reading: a number, or why there is none
     */
    Reading reading(String answer) {
        return reading(answer, '.');
    }

    /**
     * Makes a reading of an answer.
     *
     * @param answer the answer to this question, and to no other
     * @param decimalMark what the instrument writes for a decimal point; any other mark makes no number
     * @return the reading: a number, or why there is none
     */
    Reading reading(String answer, char decimalMark) {
        String number = answer;
        if (match.isPresent()) {
            Matcher m = match.get().matcher(answer);
            if (!m.find()) {
                return Reading.none(Quality.GARBLED);
            }
            int group = Math.min(m.groupCount(), 1);
            number = m.group(group);
            if (number == null || cutOut(answer, m, group)) {
                return Reading.none(Quality.GARBLED);
            }
        }
        number = withoutSpaces(number);
        if (NO_NUMBER_WORD.matcher(number).matches()) {
            return Reading.none(Quality.DEVICE_FAULT);
        }
        if (decimalMark != '.') {
            // A point in it would be a mark of thousands.
            number = number.replace('.', ' ').replace(decimalMark, '.');
        }
        if (!NUMBER.matcher(number).matches()) {
            return Reading.none(Quality.GARBLED);
        }
        return reading(Double.parseDouble(number));
    }

    /**
     * Makes a reading of a number.
     *
     * @param answer the number that the instrument gave; may be infinite or NaN
     * @return the reading: a number, or why there is none
     */
    Reading reading(double answer) {
        boolean lostProbe = unit == Unit.CELSIUS && answer == LOST_PROBE_CELSIUS;
        if (!(StrictMath.abs(answer) < NO_NUMBER) || lostProbe) {
            return Reading.none(Quality.DEVICE_FAULT);
        }
        double value = answer * scale;
        boolean believable = valid.isEmpty() || valid.get().contains(value);
        return Reading.of(value, unit, believable ? Quality.GOOD : Quality.OUT_OF_RANGE);
    }

    /** True if what the pattern took for the number is a part of one, and the rest lies where it does not look. */
    private static boolean cutOut(String answer, Matcher m, int group) {
        boolean begins = m.start(group) == m.start();
        boolean ends = m.end(group) == m.end();
        return begins && BEGINS_BEFORE.matcher(answer.substring(0, m.start())).find()
                || ends && GOES_ON.matcher(answer.substring(m.end())).find();
    }

    private static String withoutSpaces(String text) {
        int begin = 0;
        int end = text.length();
        while (begin < end && text.charAt(begin) == ' ') {
            begin++;
        }
        while (end > begin && text.charAt(end - 1) == ' ') {
            end--;
        }
        return text.substring(begin, end);
    }
}
