package org.plateaubench.bench.sim;

import java.util.ArrayList;
import java.util.List;
import java.util.stream.Collectors;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.Limit;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Unit;

/** Writes a bench of serial devices as a bench file, one line for each thing. */
final class BenchFileText {

    private final StringBuilder text = new StringBuilder();

    private BenchFileText() {}

    /**
     * Writes a bench file.
     *
     * @param file a bench with serial devices only, without workloads and simulation part
     * @return the YAML text
     */
    static String of(BenchFile file) {
        BenchFileText writer = new BenchFileText();
        writer.write(file);
        return writer.text.toString();
    }

    private void write(BenchFile file) {
        text.append("# A simulated bench that answers on pseudo-terminals. What is measured on it is invented.\n");
        text.append("bench: ").append(quoted(file.name())).append('\n');
        if (!file.configuration().isEmpty()) {
            text.append("configuration:\n");
            file.configuration().forEach(f -> line(f.name(), quoted(f.text())));
        }
        text.append("devices:\n");
        file.devices().forEach(d -> device((DeviceSpec.Serial) d));
        text.append("channels:\n");
        file.channels().forEach(this::channel);
        text.append("groups:\n");
        file.groups().forEach(g -> line(g.name(), g.channels().toString()));
        text.append("actuators:\n");
        file.actuators().forEach(this::actuator);
        file.supply().ifPresent(s -> {
            Pairs pairs = new Pairs().add("device", s.device()).add("set", quoted(s.set()));
            s.readback().ifPresent(r -> pairs.add("readback", quoted(r)));
            s.match().ifPresent(m -> pairs.add("match", quoted(m.pattern())));
            s.cutoff()
                    .ifPresent(c -> pairs.add(
                            "cutoff",
                            new Pairs()
                                    .add("silence", number(c.silenceSeconds(), Unit.SECOND))
                                    .add("by", c.by())
                                    .toString()));
            text.append("supply: ").append(pairs).append('\n');
        });
        text.append("limits:\n");
        file.limits().forEach(this::limit);
        file.commissioning()
                .ifPresent(c -> text.append("commissioning: ").append(c.yaml()).append('\n'));
    }

    private void device(DeviceSpec.Serial device) {
        Pairs pairs = new Pairs()
                .add("port", quoted(device.port()))
                .add("baud", Integer.toString(device.baud()))
                .add("dialect", device.dialect() == DeviceSpec.Dialect.SCPI ? "scpi" : "text")
                .add("line-end", device.lineEnd().replace("\r", "cr").replace("\n", "lf"));
        if (device.decimalComma()) {
            pairs.add("decimal-mark", "comma");
        }
        device.identity().ifPresent(i -> pairs.add("identity", quoted(i)));
        device.bootCount().ifPresent(b -> pairs.add("boot-count", quoted(b)));
        pairs.add("timeout", number(device.timeoutMillis(), Unit.MILLISECOND));
        device.silenceCutoffSeconds().ifPresent(s -> pairs.add("silence-cutoff", number(s, Unit.SECOND)));
        line(device.name(), pairs.toString());
    }

    private void channel(ChannelSpec channel) {
        ChannelSpec.Source.Ask ask = (ChannelSpec.Source.Ask) channel.source();
        Pairs pairs = new Pairs().add("device", channel.device()).add("ask", quoted(ask.question()));
        ask.match().ifPresent(m -> pairs.add("match", quoted(m.pattern())));
        if (channel.tachometerPulses().isPresent()) {
            pairs.add("tachometer", channel.tachometerPulses().getAsInt() + " per revolution");
        } else {
            pairs.add("unit", quoted(channel.unit().symbol()));
        }
        Unit difference = channel.unit() == Unit.CELSIUS ? Unit.KELVIN : channel.unit();
        if (channel.correction() != 0.0) {
            pairs.add("correction", number(channel.correction(), difference));
        }
        channel.uncertainty()
                .ifPresent(u -> pairs.add(
                        "uncertainty",
                        new Pairs()
                                .add("standard", number(u.standard(), difference))
                                .toString()));
        channel.valid()
                .ifPresent(v -> pairs.add(
                        "valid",
                        "[" + number(v.low(), channel.unit()) + ", " + number(v.high(), channel.unit()) + "]"));
        channel.timeConstantSeconds().ifPresent(s -> pairs.add("time-constant", number(s, Unit.SECOND)));
        channel.frozenAfterSeconds().ifPresent(s -> pairs.add("frozen-after", number(s, Unit.SECOND)));
        channel.level().ifPresent(l -> {
            pairs.add("weighting", l.weighting()).add("response", quoted(l.response()));
            l.floorDb().ifPresent(f -> pairs.add("floor", number(f, Unit.DECIBEL)));
        });
        line(channel.name(), pairs.toString());
    }

    private void actuator(ActuatorSpec actuator) {
        Pairs pairs = new Pairs().add("device", actuator.device()).add("set", quoted(actuator.set()));
        actuator.readback().ifPresent(r -> pairs.add("readback", quoted(r)));
        actuator.match().ifPresent(m -> pairs.add("match", quoted(m.pattern())));
        actuator.fullScale().ifPresent(f -> pairs.add("full-scale", Integer.toString(f)));
        line(
                actuator.name(),
                pairs.add("safe", number(actuator.safePercent(), Unit.PERCENT)).toString());
    }

    private void limit(Limit limit) {
        Pairs pairs = new Pairs()
                .add("channel", limit.channel())
                .add(
                        limit.side() == Limit.Side.ABOVE ? "above" : "below",
                        limit.threshold().toString())
                .add("for", number(limit.forSeconds(), Unit.SECOND));
        if (limit.pumpOff()) {
            pairs.add("then", "pump-off");
        }
        text.append("  - ").append(pairs).append('\n');
    }

    private void line(String name, String value) {
        text.append("  ").append(name).append(": ").append(value).append('\n');
    }

    private static String number(double value, Unit unit) {
        return Decimals.shortest(value, 6) + " " + unit.symbol();
    }

    private static String quoted(String value) {
        return "\"" + value.replace("\\", "\\\\").replace("\"", "\\\"") + "\"";
    }

    /** A mapping on one line. */
    private static final class Pairs {
        private final List<String> pairs = new ArrayList<>();

        Pairs add(String key, String value) {
            pairs.add(key + ": " + value);
            return this;
        }

        @Override
        public String toString() {
            return pairs.stream().collect(Collectors.joining(", ", "{ ", " }"));
        }
    }
}
