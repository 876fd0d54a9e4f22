package org.plateaubench.record;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.sample.Sample;
import org.plateaubench.sample.TickReadings;
import org.plateaubench.units.Decimals;

/**
 * The lines of samples.csv: comma-separated printable ASCII, never quoted, so that no field holds a comma or a quotation
 * mark. Writes a row, or checks one, whose readings it then gives until the next. Rows come in the order of their ticks.
 */
final class SampleLines implements TickReadings {

    static final String FILE = "data/samples.csv";

    private static final int TICK = 0;
    private static final int OFFSET = 1;
    private static final int MISSED = 2;
    private static final int UTC = 3;
    private static final int STAGE = 4;
    private static final int PASS = 5;
    private static final int READINGS = 6;
    private static final String UTC_SHAPE = "dddd-dd-ddTdd:dd:dd.dddZ";
    private static final int UTC_MINUTE = "dddd-dd-ddTdd:dd".length();

    /** What a byte adds to its field: how many digits, points, minus signs, others. A comma ends the field. */
    private static final int DIGIT = 1;

    private static final int POINT = 1 << 10;
    private static final int MINUS = 1 << 20;
    private static final int OTHER = 1 << 26;
    private static final int LONGEST_NUMBER = 30;
    private static final int COMMA = 0;
    private static final int REFUSED = -1;
    private static final int[] KINDS = kinds();

    private final List<String> names;
    private final List<String> stages;
    private final byte[][] nameBytes;
    private final byte[][] stageBytes;
    private final int fields;

    // The row that was checked last.
    private byte[] line = new byte[0];
    private final int[] starts;
    private final int[] madeOf;
    private long lineNumber;
    private long tick = -1;
    private long offsetMillis = -1;
    private int missed;
    private int stage;
    private final byte[] lastMinute = new byte[UTC_MINUTE];
    private final Quality[] qualities;
    private String pass = "";

    /** Rows with these channels, in order, taken in one of these stages. */
    SampleLines(List<String> names, List<String> stages) {
        this.names = List.copyOf(names);
        this.stages = List.copyOf(stages);
        stages.forEach(name -> plain("stage", name));
        this.nameBytes = bytes(names);
        this.stageBytes = bytes(stages);
        this.fields = ColumnHead.FIXED.size() + names.size();
        this.starts = new int[fields + 1];
        this.madeOf = new int[fields];
        this.qualities = new Quality[names.size()];
    }

    private static int[] kinds() {
        int[] kinds = new int[256];
        Arrays.fill(kinds, REFUSED);
        Arrays.fill(kinds, ' ', '~' + 1, OTHER);
        Arrays.fill(kinds, '0', '9' + 1, DIGIT);
        kinds['.'] = POINT;
        kinds['-'] = MINUS;
        kinds[','] = COMMA;
        kinds['"'] = REFUSED;
        return kinds;
    }

    private static byte[][] bytes(List<String> texts) {
        return texts.stream().map(t -> t.getBytes(StandardCharsets.US_ASCII)).toArray(byte[][]::new);
    }

    /** The first line, without line feed. */
    String header() {
        List<String> heads = new ArrayList<>(ColumnHead.FIXED.subList(0, READINGS));
        heads.addAll(names);
        heads.add(ColumnHead.FIXED.get(READINGS));
        return String.join(",", heads);
    }

    /** A row, without line feed. */
    String row(Sample sample, String utc, String stage, String pass) {
        List<Reading> readings = sample.readings();
        if (readings.size() != names.size()) {
            throw new IllegalArgumentException("a sample has " + names.size() + " readings, found " + readings.size());
        }
        if (!stages.contains(stage)) {
            throw new IllegalArgumentException("the stages are " + stages + ", found '" + stage + "'");
        }
        StringBuilder row = new StringBuilder(64 + 8 * names.size());
        row.append(sample.tick()).append(',');
        row.append(sample.offsetMillis()).append(',');
        row.append(sample.missed()).append(',');
        row.append(plain("time", utc)).append(',');
        row.append(stage).append(',');
        row.append(plain("pass", pass));
        for (Reading reading : readings) {
            row.append(',').append(plain("reading", reading.text()));
        }
        char separator = ',';
        for (int i = 0; i < readings.size(); i++) {
            if (!readings.get(i).good()) {
                row.append(separator).append(names.get(i)).append('=');
                row.append(readings.get(i).quality().text());
                separator = ';';
            }
        }
        if (separator == ',') {
            row.append(',');
        }
        return row.toString();
    }

    private static String plain(String what, String text) {
        for (int i = 0; i < text.length(); i++) {
            char c = text.charAt(i);
            if (c < ' ' || c > '~' || c == ',' || c == '"') {
                throw new IllegalArgumentException("the " + what
                        + " in samples.csv is printable ASCII without comma and quote, found '" + text + "'");
            }
        }
        return text;
    }

    /**
     * Checks the next line: the header, then the rows.
     *
     * @param buffer holds the line
     * @param from where it begins
     * @param to where it ends, at its line feed
     * @return true if it was a row, false if it was the header
     * @throws RecordFault if it is no row, or out of order
     */
    boolean check(byte[] buffer, int from, int to) throws RecordFault {
        line = buffer;
        lineNumber++;
        if (lineNumber == 1) {
            if (!new String(line, from, to - from, StandardCharsets.UTF_8).equals(header())) {
                throw fault("the header must be '" + header() + "'");
            }
            return false;
        }
        split(from, to);
        long nextTick = number(TICK);
        long nextOffset = number(OFFSET);
        if (nextTick <= tick || nextOffset < offsetMillis) {
            throw fault("tick " + nextTick + " at " + nextOffset + " ms follows tick " + tick + " at " + offsetMillis
                    + " ms");
        }
        tick = nextTick;
        offsetMillis = nextOffset;
        long passedOver = number(MISSED);
        if (passedOver > Integer.MAX_VALUE) {
            throw fault("too many ticks missed");
        }
        missed = (int) passedOver;
        checkUtc();
        if (!is(STAGE, stageBytes[stage])) {
            stage = stage();
        }
        checkReadings();
        return true;
    }

    /** Finds the fields and what they are made of. */
    private void split(int from, int to) throws RecordFault {
        byte[] bytes = line; // locals: this loop is most of an audit
        int[] begin = starts;
        int last = fields - 1;
        int field = 0;
        int made = 0;
        begin[0] = from;
        for (int i = from; i < to; i++) {
            int kind = KINDS[bytes[i] & 0xff];
            if (kind > 0) {
                made += kind;
            } else if (kind == REFUSED) {
                throw fault("a byte that is no printable ASCII, or a quotation mark");
            } else if (field == last) {
                throw fault("a row has " + fields + " fields, found more");
            } else {
                madeOf[field++] = made;
                made = 0;
                begin[field] = i + 1;
            }
        }
        if (field != last) {
            throw fault("a row has " + fields + " fields, found " + (field + 1));
        }
        begin[fields] = to + 1;
    }

    private int end(int field) {
        return starts[field + 1] - 1;
    }

    private String text(int field) {
        return new String(line, starts[field], end(field) - starts[field], StandardCharsets.US_ASCII);
    }

    private boolean is(int field, byte[] text) {
        return Arrays.equals(line, starts[field], end(field), text, 0, text.length);
    }

    private RecordFault fault(String found) {
        return new RecordFault(FILE + ":" + lineNumber, found);
    }

    private long number(int field) throws RecordFault {
        int from = starts[field];
        int to = end(field);
        if (from == to || to - from > 15) {
            throw fault("a whole number is needed under " + ColumnHead.FIXED.get(field));
        }
        long number = 0;
        for (int i = from; i < to; i++) {
            if (line[i] < '0' || line[i] > '9') {
                throw fault("a whole number is needed under " + ColumnHead.FIXED.get(field));
            }
            number = number * 10 + (line[i] - '0');
        }
        return number;
    }

    private void checkUtc() throws RecordFault {
        int from = starts[UTC];
        boolean fits = end(UTC) - from == UTC_SHAPE.length();
        boolean sameMinute = fits && Arrays.equals(line, from, from + UTC_MINUTE, lastMinute, 0, UTC_MINUTE);
        for (int i = sameMinute ? UTC_MINUTE : 0; fits && i < UTC_SHAPE.length(); i++) {
            char wanted = UTC_SHAPE.charAt(i);
            byte c = line[from + i];
            fits = wanted == 'd' ? c >= '0' && c <= '9' : c == wanted;
        }
        if (!fits) {
            throw fault("a time such as 2026-11-24T22:10:03.000Z is needed, found '" + text(UTC) + "'");
        }
        System.arraycopy(line, from, lastMinute, 0, UTC_MINUTE);
    }

    private int stage() throws RecordFault {
        for (int i = 0; i < stageBytes.length; i++) {
            if (is(STAGE, stageBytes[i])) {
                return i;
            }
        }
        throw fault("the stages are " + stages + ", found '" + text(STAGE) + "'");
    }

    private void checkReadings() throws RecordFault {
        Arrays.fill(qualities, Quality.GOOD);
        int at = starts[fields - 1];
        int end = end(fields - 1);
        int channel = 0;
        while (at < end) {
            while (channel < nameBytes.length && !namedAt(channel, at, end)) {
                channel++;
            }
            if (channel == nameBytes.length) {
                throw fault("under quality, 'channel=quality' in the order of the columns is needed, found '"
                        + text(fields - 1) + "'");
            }
            int from = at + nameBytes[channel].length + 1;
            int to = from;
            while (to < end && line[to] != ';') {
                to++;
            }
            qualities[channel] = quality(new String(line, from, to - from, StandardCharsets.US_ASCII));
            channel++;
            at = to + 1;
            if (at == end) {
                throw fault("quality ends with a semicolon");
            }
        }
        for (int i = 0; i < qualities.length; i++) {
            int from = starts[READINGS + i];
            int to = end(READINGS + i);
            if (from == to ? qualities[i] == Quality.GOOD : !isNumber(READINGS + i)) {
                throw fault("under " + names.get(i) + ", a number or a quality is needed, found '" + text(READINGS + i)
                        + "'");
            }
        }
    }

    private boolean namedAt(int channel, int at, int end) {
        byte[] name = nameBytes[channel];
        return at + name.length < end
                && line[at + name.length] == '='
                && Arrays.equals(line, at, at + name.length, name, 0, name.length);
    }

    private Quality quality(String text) throws RecordFault {
        try {
            Quality quality = Quality.of(text);
            if (quality != Quality.GOOD) {
                return quality;
            }
        } catch (IllegalArgumentException e) {
            throw fault(e.getMessage());
        }
        throw fault("quality names only readings that are not good");
    }

    /** Optional minus, digits, and a point with digits where there are decimals. */
    private boolean isNumber(int field) {
        int made = madeOf[field];
        int from = starts[field];
        int last = end(field) - 1;
        if (last - from >= LONGEST_NUMBER) {
            return false; // and the counts below do not run into each other
        }
        if (made < MINUS) {
            return made < POINT || made < 2 * POINT && line[from] != '.' && line[last] != '.';
        }
        return made < 2 * MINUS
                && line[from] == '-'
                && last > from
                && (made - MINUS < POINT || made - MINUS < 2 * POINT && line[from + 1] != '.' && line[last] != '.');
    }

    @Override
    public long tick() {
        return tick;
    }

    @Override
    public long offsetMillis() {
        return offsetMillis;
    }

    @Override
    public int missed() {
        return missed;
    }

    @Override
    public double indicated(int channel) {
        int from = starts[READINGS + channel];
        int to = end(READINGS + channel);
        return from == to ? Double.NaN : Decimals.number(line, from, to);
    }

    @Override
    public Quality quality(int channel) {
        return qualities[channel];
    }

    /** The row that was checked last. */
    RecordedNight.Row row() {
        List<Reading> readings = new ArrayList<>(qualities.length);
        for (int i = 0; i < qualities.length; i++) {
            readings.add(Reading.recorded(text(READINGS + i), qualities[i]));
        }
        if (!is(PASS, pass.getBytes(StandardCharsets.US_ASCII))) {
            pass = text(PASS);
        }
        return new RecordedNight.Row(
                new Sample(tick, offsetMillis, missed, readings), text(UTC), stages.get(stage), pass);
    }
}
