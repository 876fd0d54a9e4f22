package org.plateaubench.bench.sim;

import java.nio.charset.StandardCharsets;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.function.DoubleConsumer;
import java.util.function.Supplier;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.bench.sim.Fault.Kind;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.DeviceSpec.Dialect;

/**
 * An instrument on a line. What it understands is read from the bench file itself: each channel's question, each
 * actuator's command and readback, the supply's. In the SCPI dialect it also knows compound requests, *IDN?, *CLS, *RST
 * and SYST:ERR? with the errors of SCPI-99, volume 2, chapter 21; it gives no answer to what it does not know.
 */
final class SimulatedInstrument implements Pty.Instrument {

    private static final int VALUE_DECIMALS = 3;
    private static final int LEVEL_DECIMALS = 1;
    private static final int SETTING_DECIMALS = 2;
    private static final int MOST_ERRORS = 20;
    private static final byte[] NOTHING = {};

    private static final String NO_ERROR = "0,\"No error\"";
    private static final String UNDEFINED_HEADER = "-113,\"Undefined header\"";
    private static final String DATA_TYPE_ERROR = "-104,\"Data type error\"";
    private static final String OUT_OF_RANGE = "-222,\"Data out of range\"";
    private static final String QUEUE_OVERFLOW = "-350,\"Queue overflow\"";

    private final World world;
    private final DeviceSpec.Serial device;
    private final Map<String, Supplier<String>> queries = new LinkedHashMap<>();
    private final List<Setting> settings = new ArrayList<>();
    private final Deque<String> errors = new ArrayDeque<>();
    private String previousAnswer = "";

    /** A command with a number in it. */
    private record Setting(String before, String after, double most, DoubleConsumer action) {}

    /**
     * The instrument behind one device of the bench file.
     *
     * @param world what it measures and drives
     * @param file the bench file
     * @param device which device
     * @throws IllegalArgumentException if a channel's pattern is too intricate to answer
     */
    SimulatedInstrument(World world, BenchFile file, DeviceSpec.Serial device) {
        this.world = world;
        this.device = device;
        for (ChannelSpec channel : file.channels()) {
            if (channel.device().equals(device.name()) && channel.source() instanceof ChannelSpec.Source.Ask ask) {
                int decimals = channel.level().isPresent() ? LEVEL_DECIMALS : VALUE_DECIMALS;
                AnswerForm form = AnswerForm.of(ask.match(), decimals, device.decimalComma());
                queries.put(normal(ask.question()), () -> written(channel, form));
            }
        }
        file.actuators().stream().filter(a -> a.device().equals(device.name())).forEach(a -> {
            double full = a.fullScale().orElse(100);
            AnswerForm form =
                    AnswerForm.of(a.match(), a.fullScale().isPresent() ? 0 : SETTING_DECIMALS, device.decimalComma());
            command(a.set(), "{percent}", full, number -> world.setDuty(a.name(), number * 100.0 / full));
            a.readback()
                    .ifPresent(ask -> queries.put(normal(ask), () -> form.write(world.duty(a.name()) * full / 100.0)));
        });
        file.supply().filter(s -> s.device().equals(device.name())).ifPresent(s -> {
            AnswerForm form = AnswerForm.of(s.match(), SETTING_DECIMALS, device.decimalComma());
            command(s.set(), "{watt}", Double.MAX_VALUE, world::setSupply);
            s.readback().ifPresent(ask -> queries.put(normal(ask), () -> form.write(world.supplyWatts())));
        });
        device.bootCount().ifPresent(ask -> queries.put(normal(ask), () -> Long.toString(world.boots(device.name()))));
        if (device.dialect() == Dialect.SCPI) {
            queries.put("*OPC?", () -> "1");
            queries.put("*IDN?", this::identity);
            queries.put("SYST:ERR?", this::nextError);
            queries.put("SYST:ERR:NEXT?", this::nextError);
        } else {
            device.identity().ifPresent(i -> queries.put("*IDN?", this::identity));
        }
    }

    private void command(String template, String hole, double most, DoubleConsumer action) {
        int at = template.indexOf(hole);
        settings.add(new Setting(
                normal(template.substring(0, at)), normal(template.substring(at + hole.length())), most, action));
    }

    /** A request in capitals, with single spaces, without the colon that begins at the root. */
    private static String normal(String text) {
        StringBuilder normal = new StringBuilder(text.length());
        for (int i = 0; i < text.length(); i++) {
            char c = text.charAt(i);
            boolean space = c <= ' ';
            boolean dropped =
                    normal.length() == 0 ? space || c == ':' : space && normal.charAt(normal.length() - 1) == ' ';
            if (!dropped) {
                normal.append(space ? ' ' : Character.toUpperCase(c));
            }
        }
        return normal.toString().stripTrailing();
    }

    @Override
    public byte[] answer(String request) {
        synchronized (world) {
            if (world.suffers(Kind.SILENT, device.name())) {
                return NOTHING;
            }
            boolean whoIsIt = request.contains("*IDN?") || request.contains("SYST:ERR");
            if (!whoIsIt || !world.suffers(Kind.WRONG_IDENTITY, device.name())) {
                // A program that found another instrument here does not end this one's silence by asking that.
                world.heard(device.name());
            }
            Optional<String> answer = device.dialect() == Dialect.SCPI ? compound(request) : single(normal(request));
            return answer.map(this::onTheLine).orElse(NOTHING);
        }
    }

    /** What becomes of an answer on its way. */
    private byte[] onTheLine(String answer) {
        String sent = answer;
        if (world.suffers(Kind.STALE, device.name())) {
            sent = previousAnswer;
        }
        previousAnswer = answer;
        if (world.suffers(Kind.TRUNCATED, device.name())) {
            sent = sent.substring(0, sent.length() / 2);
        }
        if (world.suffers(Kind.LOST_CHARACTER, device.name()) && !sent.isEmpty()) {
            int lost = world.draw(sent.length());
            sent = sent.substring(0, lost) + sent.substring(lost + 1);
        }
        if (world.suffers(Kind.GARBAGE, device.name())) {
            sent = "\u00ff?\u0003~" + sent.length() + "\u00fe";
        }
        return (sent + device.lineEnd()).getBytes(StandardCharsets.ISO_8859_1);
    }

    /** Requests joined by semicolons; after a bare one, a header goes on from the path of the one before. */
    private Optional<String> compound(String request) {
        List<String> answers = new ArrayList<>();
        String path = "";
        for (String part : request.split(";")) {
            String unit = normal(part);
            boolean common = unit.startsWith("*");
            if (!common && !part.strip().startsWith(":")) {
                unit = path + unit;
            }
            int known = errors.size();
            single(unit).ifPresent(answers::add);
            if (errors.size() > known) {
                break;
            }
            if (!common) {
                int headerEnd = unit.indexOf(' ') < 0 ? unit.length() : unit.indexOf(' ');
                path = unit.substring(0, unit.lastIndexOf(':', headerEnd) + 1);
            }
        }
        return answers.isEmpty() ? Optional.empty() : Optional.of(String.join(";", answers));
    }

    private Optional<String> single(String unit) {
        Supplier<String> query = queries.get(unit);
        if (query != null) {
            return Optional.of(query.get());
        }
        if (unit.equals("*CLS")) {
            errors.clear();
        } else if (unit.equals("*RST")) {
            world.reset(device.name());
        } else {
            set(unit);
        }
        return Optional.empty();
    }

    private void set(String unit) {
        for (Setting setting : settings) {
            if (unit.startsWith(setting.before()) && unit.endsWith(setting.after())) {
                String number = unit.substring(
                                setting.before().length(),
                                unit.length() - setting.after().length())
                        .strip();
                if (!number.matches("[-+]?[0-9]{1,9}(\\.[0-9]{0,9})?(E[-+]?[0-9]{1,2})?")) {
                    error(DATA_TYPE_ERROR);
                    return;
                }
                double value = Double.parseDouble(number);
                if (value < 0.0 || value > setting.most()) {
                    error(OUT_OF_RANGE);
                } else {
                    setting.action().accept(value);
                }
                return;
            }
        }
        error(UNDEFINED_HEADER);
    }

    private void error(String error) {
        if (errors.size() == MOST_ERRORS) {
            errors.removeLast();
            errors.add(QUEUE_OVERFLOW);
        } else {
            errors.add(error);
        }
    }

    private String nextError() {
        return errors.isEmpty() ? NO_ERROR : errors.removeFirst();
    }

    private String identity() {
        if (world.suffers(Kind.WRONG_IDENTITY, device.name())) {
            return "PLATEAU,ANOTHER-INSTRUMENT,7,1";
        }
        return device.identity().orElse("PLATEAU,SIMULATED-" + device.name().toUpperCase(Locale.ROOT) + ",0,1");
    }

    private String written(ChannelSpec channel, AnswerForm form) {
        String answer = form.write(world.value(channel));
        if (world.suffers(Kind.DECIMAL_COMMA, channel.name())) {
            answer = answer.replace('.', ',');
        }
        if (world.suffers(Kind.NO_POINT, channel.name())) {
            answer = answer.replace(".", "");
        }
        if (world.suffers(Kind.NUL_BYTE, channel.name())) {
            answer = answer.substring(0, answer.length() / 2) + "\u0000" + answer.substring(answer.length() / 2);
        }
        return answer;
    }
}
