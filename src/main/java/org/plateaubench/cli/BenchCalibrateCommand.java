package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalDouble;
import java.util.concurrent.Callable;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.Benches;
import org.plateaubench.bench.check.Calibration;
import org.plateaubench.bench.check.Calibration.Probe;
import org.plateaubench.bench.check.Calibration.Reference;
import org.plateaubench.bench.computer.ComputerDevice;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.engine.Exit;
import org.plateaubench.problem.SourceText;
import org.plateaubench.record.Json;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Dimension;
import org.plateaubench.units.Quantity;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Finds corrections of temperature probes and writes them into the bench file. */
@Command(
        name = "calibrate",
        mixinStandardHelpOptions = true,
        header =
                "Finds the corrections of temperature probes in ice or in one bath, and writes them into the bench file.",
        description = "Put the probes in, wait until they stand still, then start this; nothing on the bench is set."
                + " The bench file gets correction, uncertainty and date; what stood there before is kept as a"
                + " comment. hardware-notes/calibration.md says how to make an ice point.",
        footer = {
            "",
            "Examples:",
            "  plateau bench calibrate my-bench.yaml --ice ambient",
            "  plateau bench calibrate my-bench.yaml --bath ambient,coolant \\",
            "      --reference \"24.98 °C\" --reference-uncertainty \"0.05 K\""
        })
final class BenchCalibrateCommand implements Callable<Integer> {

    private static final String ICE_UNCERTAINTY = "0.02 K";

    @Parameters(paramLabel = "BENCH", description = "the bench file; it is changed")
    private Path bench;

    @Option(names = "--ice", paramLabel = "CHANNEL", split = ",", description = "probes that stand in the ice point")
    private List<String> ice = new ArrayList<>();

    @Option(names = "--bath", paramLabel = "CHANNEL", split = ",", description = "probes that stand in one bath")
    private List<String> bath = new ArrayList<>();

    @Option(
            names = "--reference",
            paramLabel = "TEMPERATURE",
            description =
                    "what a reference thermometer says of the bath; without it the mean of the probes is the reference")
    private String reference;

    @Option(
            names = "--reference-uncertainty",
            paramLabel = "DIFFERENCE",
            description = "of the reference, expanded (k = 2); for the ice point " + ICE_UNCERTAINTY
                    + " unless given; needed where probes of the mean have none of their own")
    private String referenceUncertainty;

    @Option(
            names = "--minutes",
            paramLabel = "N",
            defaultValue = "5",
            description = "how long to read, 1 to 120; default 5")
    private int minutes;

    @Option(names = "--dry-run", description = "show the corrections, leave the file as it is")
    private boolean dryRun;

    @Option(names = "--json", description = "for programs")
    private boolean json;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() throws IOException {
        SourceText source = BenchFileArgument.text(bench);
        BenchFile file = BenchFileArgument.read(source);
        if (file.simulation().isPresent()) {
            throw new Refusal("the probes of a simulated bench stand in no bath; name a real one");
        }
        List<ChannelSpec> channels = channels(file);
        Reference compared = reference(channels);
        if (minutes < 1 || minutes > 120) {
            throw new Refusal("--minutes is 1 to 120, found " + minutes);
        }
        PrintWriter out = spec.commandLine().getOut();
        PrintWriter err = spec.commandLine().getErr();
        List<Probe> probes;
        try (Bench opened =
                Benches.real(file, () -> Path.of("."), c -> new ComputerDevice(c.name(), file, new SystemClock()))) {
            opened.open();
            probes = new Calibration(opened, new SystemClock(), line -> {
                        err.println(line);
                        err.flush();
                    })
                    .run(channels, compared, minutes * 60);
        } catch (BenchException e) {
            err.println(e.getMessage());
            err.println(bench + " is as it was");
            return Exit.BENCH_FAULT.code();
        }
        out.print(json ? Json.page(fields(probes)) : table(channels, probes));
        List<Probe> faulty = probes.stream().filter(p -> !p.fault().isEmpty()).toList();
        if (!faulty.isEmpty()) {
            faulty.forEach(p -> err.println(p.channel() + ": " + p.fault()));
            err.println(bench + " is as it was");
            return Main.WRONG;
        }
        if (!dryRun) {
            LocalDate today = NightRunner.now().toLocalDate();
            String changed = CalibratedFile.text(
                    new String(source.bytes(), StandardCharsets.UTF_8),
                    file,
                    probes,
                    ice.isEmpty() ? "common bath" : "ice point",
                    today);
            BenchFileArgument.replace(bench, source, changed);
            (json ? err : out).println("written into " + bench + "; what stood there before is kept as a comment");
        }
        out.flush();
        return Main.DONE;
    }

    private List<ChannelSpec> channels(BenchFile file) {
        if (ice.isEmpty() == bath.isEmpty()) {
            throw new Refusal("either --ice or --bath must say which probes stand in it, such as --ice ambient");
        }
        List<ChannelSpec> channels = new ArrayList<>();
        for (String name : ice.isEmpty() ? bath : ice) {
            ChannelSpec channel = file.channel(name)
                    .filter(c -> c.unit().dimension() == Dimension.TEMPERATURE)
                    .orElseThrow(() -> new Refusal("the bench has no channel of temperature called " + name));
            if (!channels.contains(channel)) {
                channels.add(channel);
            }
        }
        return channels;
    }

    private Reference reference(List<ChannelSpec> channels) {
        OptionalDouble stated = referenceUncertainty == null
                ? OptionalDouble.empty()
                : OptionalDouble.of(
                        quantity("--reference-uncertainty", referenceUncertainty, Dimension.TEMPERATURE_DIFFERENCE)
                                / 2.0);
        if (!ice.isEmpty()) {
            if (reference != null) {
                throw new Refusal("the ice point is at 0 °C; --reference is for a bath");
            }
            double usual = quantity("", ICE_UNCERTAINTY, Dimension.TEMPERATURE_DIFFERENCE) / 2.0;
            return new Reference(OptionalDouble.of(0.0), stated.orElse(usual));
        }
        if (reference != null) {
            if (stated.isEmpty()) {
                throw new Refusal("a reference is worth what its uncertainty says: state --reference-uncertainty");
            }
            double celsius = quantity("--reference", reference, Dimension.TEMPERATURE);
            return new Reference(OptionalDouble.of(celsius), stated.getAsDouble());
        }
        if (channels.size() < 2) {
            throw new Refusal("one probe alone has nothing to be compared with: two or more, or --reference");
        }
        return new Reference(OptionalDouble.empty(), stated.orElseGet(() -> ofMean(channels)));
    }

    /** Uncertainty of the mean of probes, each with its own, taken as independent. */
    private static double ofMean(List<ChannelSpec> channels) {
        double squares = 0;
        for (ChannelSpec channel : channels) {
            double standard = channel.uncertainty()
                    .orElseThrow(
                            () -> new Refusal("a common bath shows how far the probes are apart, not how far all of"
                                    + " them are off together: state uncertainty for " + channel.name()
                                    + ", from its data sheet, or --reference-uncertainty"))
                    .standard();
            squares += standard * standard;
        }
        return StrictMath.sqrt(squares) / channels.size();
    }

    private static double quantity(String option, String text, Dimension dimension) {
        return Quantity.parse(text)
                .filter(q -> q.unit().dimension() == dimension && Double.isFinite(q.inBase()))
                .map(Quantity::inBase)
                .orElseThrow(() -> new Refusal(
                        option + " needs " + dimension.noun() + " such as " + dimension.example() + ", found " + text));
    }

    private static Map<String, Object> fields(List<Probe> probes) {
        List<Map<String, Object>> rows = new ArrayList<>();
        for (Probe p : probes) {
            Map<String, Object> row = new LinkedHashMap<>();
            row.put("probe", p.channel());
            row.put("readings", p.readings());
            if (Double.isFinite(p.correctionKelvin())) {
                row.put("indicated-celsius", Decimals.json(p.indicatedCelsius(), 3));
                row.put("drift-kelvin", Decimals.json(p.driftKelvin(), 3));
                row.put("correction-kelvin", Decimals.json(p.correctionKelvin(), 3));
                row.put("standard-uncertainty-kelvin", Decimals.json(p.standardKelvin(), 4));
            }
            row.put("fault", p.fault());
            rows.add(row);
        }
        Map<String, Object> page = new LinkedHashMap<>();
        page.put("probes", rows);
        return page;
    }

    private static String table(List<ChannelSpec> channels, List<Probe> probes) {
        TextTable table =
                new TextTable("probe", ">readings", ">indicated", ">drift", ">correction", ">± (k = 2)", ">before");
        for (int i = 0; i < probes.size(); i++) {
            Probe p = probes.get(i);
            boolean known = Double.isFinite(p.correctionKelvin());
            table.row(
                    p.channel(),
                    Integer.toString(p.readings()),
                    known ? Decimals.fixed(p.indicatedCelsius(), 3) + " °C" : "-",
                    known ? Decimals.fixed(p.driftKelvin(), 3) + " K" : "-",
                    known ? Decimals.fixed(p.correctionKelvin(), 3) + " K" : "-",
                    known ? CalibratedFile.expanded(p) : "-",
                    Decimals.fixed(channels.get(i).correction(), 3) + " K");
        }
        return table.text();
    }
}
