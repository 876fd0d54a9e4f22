package org.plateaubench.bench.serial;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Collections;
import java.util.Deque;
import java.util.List;
import java.util.Optional;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.Device;
import org.plateaubench.bench.DeviceIdentity;
import org.plateaubench.bench.SetResult;
import org.plateaubench.bench.Sweep.DeviceEvent;
import org.plateaubench.bench.serial.LineException.Kind;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.SupplySpec;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Unit;

/**
 * A device on a serial line. It is known by its identity, not by the name of its port: it is asked for it when the line
 * is opened, after a line was lost, and whenever an answer was missing or garbled, so that question and answer are in
 * step again before the next number is believed. Any thread may read and set; they take turns.
 */
public final class SerialDevice implements Device {

    /** A controller that resets when its port is opened is silent for up to two seconds, in its boot loader. */
    private static final int OPEN_MILLIS = 5000;

    /** How often an open port is asked for an identity before the next one is tried. */
    private static final int RECONNECT_ATTEMPTS = 10;

    /** After so many requests in succession without any answer the line counts as lost. */
    private static final int SILENT_UNTIL_GONE = 3;

    private final DeviceSpec.Serial spec;
    private final Ports ports;
    private final Dialect dialect;
    private final int columns;
    private final List<DeviceEvent> events = new ArrayList<>();
    private final Deque<String> untried = new ArrayDeque<>();
    private volatile Line line;
    private volatile boolean closed;
    private Exchange lastReading;
    private String wanted;
    private String home = "";
    private String where = "";
    private String lastStranger = "";
    /** The last identity that was not the one needed; empty once the needed one was given. */
    private String otherIdentity = "";
    /** True if the last two of these differed, so that they are no identity but a line that loses letters. */
    private boolean garbledIdentity;

    private String bootCount = "";
    private boolean identified;
    private boolean outOfStep;
    private int attempts;
    private int silent;
    private long closedLinesNanos;
    private long takenNanos;

    /**
     * A device, not yet opened.
     *
     * @param file the bench file
     * @param spec the device in it
     * @param ports where its line may be found
     * @throws IllegalArgumentException if it speaks Modbus, and something is no register
     */
    public SerialDevice(BenchFile file, DeviceSpec.Serial spec, Ports ports) {
        this.spec = spec;
        this.ports = ports;
        this.wanted = spec.identity().orElse("");
        List<Question> questions = new ArrayList<>();
        file.channels().stream()
                .filter(c -> c.device().equals(spec.name()))
                .forEach(c -> questions.add(Question.of(c)));
        List<String> commands = new ArrayList<>();
        file.actuators().stream().filter(a -> a.device().equals(spec.name())).forEach(a -> {
            Setting.readback(a).ifPresent(questions::add);
            commands.add(a.set());
        });
        file.supply().filter(s -> s.device().equals(spec.name())).ifPresent(s -> {
            Setting.readback(s).ifPresent(questions::add);
            commands.add(s.set());
        });
        this.columns = questions.size();
        // Behind the columns, and no column itself.
        spec.bootCount()
                .ifPresent(
                        text -> questions.add(new Question(text, Optional.empty(), Unit.ONE, 1.0, Optional.empty())));
        this.dialect = switch (spec.dialect()) {
            case SCPI -> new ScpiDialect(questions);
            case TEXT -> new TextDialect(questions, spec.decimalComma());
            case MODBUS -> new ModbusDialect(questions, commands, spec.baud());
        };
    }

    @Override
    public String name() {
        return spec.name();
    }

    @Override
    public synchronized DeviceIdentity open() throws BenchException {
        List<String> failures = new ArrayList<>();
        for (String path : ports.paths()) {
            untried.add(path);
            for (int asked = 0; asked <= OPEN_MILLIS / spec.timeoutMillis(); asked++) {
                try {
                    inStep();
                    home = where;
                    takeBusyNanos();
                    return new DeviceIdentity(spec.name(), wanted, where);
                } catch (LineException e) {
                    if (e.kind() != Kind.TIMEOUT || asked == OPEN_MILLIS / spec.timeoutMillis()) {
                        failures.add(e.getMessage());
                        break;
                    }
                }
            }
            closeLine();
        }
        if (failures.isEmpty()) {
            failures.add(noPort().getMessage());
        }
        throw new BenchException(
                "device " + spec.name() + ": " + String.join("; ", failures) + ". Nothing was set on it.", null);
    }

    @Override
    public synchronized DeviceReadings read(long tick) {
        List<Reading> readings;
        try {
            Exchange exchange = inStep();
            lastReading = exchange;
            List<Reading> answers = dialect.read(exchange);
            // One that is asked for nothing is asked for its identity again, so that its cut-off hears this program.
            outOfStep = answers.isEmpty() || answers.stream().anyMatch(SerialDevice::shakesTrust);
            if (!answers.isEmpty() && answers.stream().allMatch(r -> r.quality() == Quality.MISSING)) {
                wasSilent();
            } else {
                silent = 0;
            }
            readings = answers.subList(0, columns);
            answers.subList(columns, answers.size()).forEach(this::countBoots);
        } catch (LineException e) {
            failed(e);
            Quality quality = identified ? Quality.MISSING : Quality.GONE;
            readings = Collections.nCopies(columns, Reading.none(quality));
        }
        DeviceReadings result = new DeviceReadings(readings, events, takeBusyNanos());
        events.clear();
        return result;
    }

    private static boolean shakesTrust(Reading reading) {
        return reading.quality() == Quality.MISSING || reading.quality() == Quality.GARBLED;
    }

    /** A controller that was started again has outputs of its own choice, though its line never broke. */
    private void countBoots(Reading count) {
        if (!count.good()) {
            return;
        }
        if (!bootCount.isEmpty() && !bootCount.equals(count.text())) {
            String detail =
                    "was started again: boot count " + shortest(count.text()) + ", before " + shortest(bootCount);
            events.add(new DeviceEvent(spec.name(), DeviceEvent.Kind.RESTARTED, detail));
        }
        bootCount = count.text();
    }

    private static String shortest(String number) {
        return Decimals.shortest(Double.parseDouble(number), 3);
    }

    @Override
    public SetResult set(ActuatorSpec actuator, double percent) {
        return set(Setting.of(actuator, percent));
    }

    /**
     * Sets a supply to a power and reads it back, bounded by the timeout of this device.
     *
     * @param supply a supply of this device
     * @param watts power, W; 0 or more
     * @return what came of it; never throws for what the device does
     */
    public SetResult setPower(SupplySpec supply, double watts) {
        return set(Setting.of(supply, watts));
    }

    private synchronized SetResult set(Setting setting) {
        try {
            try {
                inStep();
            } catch (LineException e) {
                if (e.kind() != Kind.TIMEOUT || !mayHear()) {
                    throw e;
                }
                // It may hear though it does not answer, and the command may be what makes the bench safe: that holds
                // for a line that counts as lost, too, as long as it is the same port and no other device was found
                // there.
            }
            SetResult result = dialect.set(new Exchange(line, spec.timeoutMillis()), setting);
            outOfStep = !result.done();
            return result;
        } catch (LineException e) {
            failed(e);
            return setting.notDone("", e.getMessage());
        }
    }

    /** Opens the line if it is not, and makes sure that the next answer will belong to the next question. */
    private Exchange inStep() throws LineException {
        if (line == null) {
            openNext();
        }
        Exchange exchange = new Exchange(line, spec.timeoutMillis());
        if (!identified || outOfStep) {
            attempts++;
            String found = dialect.identify(exchange, wanted);
            if (!wanted.isEmpty() && !found.equals(wanted)) {
                throw notItself(found);
            }
            wanted = found;
            otherIdentity = "";
            garbledIdentity = false;
            outOfStep = false;
            silent = 0;
            if (!identified) {
                identified = true;
                if (!home.isEmpty()) {
                    events.add(new DeviceEvent(spec.name(), DeviceEvent.Kind.BACK, where + " " + wanted));
                    home = where;
                    lastStranger = "";
                    // That it may have been started again is said by that already.
                    bootCount = "";
                }
            }
        }
        return exchange;
    }

    /** Another device gives the same identity again; one that differs each time is a line that loses letters. */
    private LineException notItself(String found) {
        garbledIdentity = !otherIdentity.isEmpty() && !found.equals(otherIdentity);
        otherIdentity = found;
        return new LineException(
                garbledIdentity ? Kind.TIMEOUT : Kind.OTHER_DEVICE,
                where + " answers \"" + found + "\", needed is \"" + wanted + "\"");
    }

    /** True if the line may be this device's own, though it answers no question. */
    private boolean mayHear() {
        return where.equals(home) && (lastStranger.isEmpty() || garbledIdentity);
    }

    /** Opens the next port that may be this device's: first the one where it was last. */
    private void openNext() throws LineException {
        if (untried.isEmpty()) {
            List<String> paths = ports.paths();
            paths.stream().filter(home::equals).forEach(untried::add);
            paths.stream().filter(p -> !p.equals(home)).forEach(untried::add);
        }
        if (untried.isEmpty()) {
            throw noPort();
        }
        where = untried.remove();
        attempts = 0;
        line = ports.open(where);
        if (closed) {
            line.close();
        }
    }

    private LineException noPort() {
        return new LineException(
                Kind.NO_PORT, "there is no port " + spec.port() + "; plug the device in and switch it on");
    }

    /** Notes what a failure means for the line; whether it goes on is seen by {@link #identified}. */
    private void failed(LineException failure) {
        if (failure.kind() == Kind.TIMEOUT) {
            outOfStep = true;
            if (identified) {
                wasSilent();
            } else if (attempts >= RECONNECT_ATTEMPTS) {
                closeLine();
            }
            return;
        }
        if (failure.kind() == Kind.OTHER_DEVICE) {
            if (where.equals(home) && !failure.getMessage().equals(lastStranger)) {
                events.add(new DeviceEvent(spec.name(), DeviceEvent.Kind.OTHER_IDENTITY, failure.getMessage()));
                lastStranger = failure.getMessage();
            }
        } else if (identified) {
            events.add(new DeviceEvent(spec.name(), DeviceEvent.Kind.GONE, failure.getMessage()));
        }
        closeLine();
    }

    private void wasSilent() {
        silent++;
        if (silent == SILENT_UNTIL_GONE) {
            String detail = where + " gave no answer to " + SILENT_UNTIL_GONE + " requests in succession";
            events.add(new DeviceEvent(spec.name(), DeviceEvent.Kind.GONE, detail));
            closeLine();
        }
    }

    private void closeLine() {
        Line open = line;
        if (open != null) {
            open.close();
            closedLinesNanos += open.busyNanos() - takenNanos;
            takenNanos = 0;
        }
        line = null;
        identified = false;
        silent = 0;
    }

    /** What the lines were busy since this was last asked, in the bench's own time. */
    private long takeBusyNanos() {
        long nanos = closedLinesNanos;
        closedLinesNanos = 0;
        if (line != null) {
            long now = line.busyNanos();
            nanos += now - takenNanos;
            takenNanos = now;
        }
        return nanos;
    }

    @Override
    public synchronized String heard() {
        String spoiling = "";
        if (identified) {
            try {
                spoiling = dialect.spoiling(() -> new Exchange(line, spec.timeoutMillis()));
                outOfStep = true;
            } catch (LineException e) {
                failed(e);
            }
        }
        if (!spoiling.isEmpty()) {
            return spoiling;
        }
        String brought = lastReading == null ? "" : lastReading.heard();
        return brought.isEmpty() ? "" : "the line brought " + brought;
    }

    @Override
    public void close() {
        closed = true;
        Line open = line;
        if (open != null) {
            open.close();
        }
    }
}
