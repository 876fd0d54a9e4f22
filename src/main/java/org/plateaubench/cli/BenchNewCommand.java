package org.plateaubench.cli;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.PrintWriter;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.Callable;
import java.util.function.Predicate;
import org.plateaubench.bench.computer.ComputerDevice;
import org.plateaubench.bench.serial.PortSearch;
import org.plateaubench.bench.serial.PortSearch.Found;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.BenchFileReader;
import org.plateaubench.problem.Parsed;
import org.plateaubench.problem.SourceText;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Writes a first bench file. */
@Command(
        name = "new",
        mixinStandardHelpOptions = true,
        footer = {
            "",
            "Examples:",
            "  plateau bench new my-bench.yaml",
            "  plateau bench new my-bench.yaml --fans 3 --yes"
        },
        header = "Writes a first bench file, from what is plugged in and from a few answers.",
        description =
                "On a terminal it asks what no option says; elsewhere, and with --yes, it takes the usual answer. Ports are"
                        + " asked who they are unless --controller names one.")
final class BenchNewCommand implements Callable<Integer> {

    private static final int USUAL_BAUD = 115_200;
    private static final int MOST_FANS = 9;

    @Parameters(paramLabel = "FILE", description = "the bench file to be written; it must not exist")
    private Path file;

    @Option(names = "--name", paramLabel = "NAME", description = "the bench's name")
    private String name;

    @Option(names = "--controller", paramLabel = "PORT", description = "port of the fan controller")
    private String controller;

    @Option(names = "--baud", paramLabel = "RATE", description = "the controller's baud rate")
    private Integer baud;

    @Option(
            names = "--identity",
            paramLabel = "TEXT",
            description = "what the controller answers to *IDN?; the port is asked unless this is given")
    private String identity;

    @Option(names = "--fans", paramLabel = "N", description = "how many fans have a tachometer of their own")
    private Integer fans;

    @Option(names = "--meter", paramLabel = "PORT", description = "port of the sound level meter; none for no meter")
    private String meter;

    @Option(
            names = "--cpu",
            paramLabel = "SENSOR",
            description = "sensor of the processor's temperature; none for none")
    private String cpu;

    @Option(
            names = "--workload",
            paramLabel = "COMMAND",
            description = "a command that makes heat; words are parted at spaces")
    private String workload;

    @Option(names = "--supply", description = "the controller sets a supply that makes heat")
    private boolean supply;

    @Option(names = "--yes", description = "ask nothing, take the usual answers")
    private boolean yes;

    @Spec
    private CommandSpec spec;

    private PrintWriter out;
    private Optional<BufferedReader> person;

    @Override
    public Integer call() throws IOException {
        return call(
                yes || System.console() == null
                        ? Optional.empty()
                        : Optional.of(new BufferedReader(new InputStreamReader(System.in, StandardCharsets.UTF_8))));
    }

    /** Asks a person, if there is one. */
    Integer call(Optional<BufferedReader> asked) throws IOException {
        out = spec.commandLine().getOut();
        person = asked;
        if (Files.exists(file)) {
            throw new Refusal(file + " is there already; name another file, so that nothing is lost");
        }
        String text = answers().text();
        SourceText source = new SourceText(file.toString(), text.getBytes(StandardCharsets.UTF_8));
        Parsed<BenchFile> parsed = BenchFileReader.read(source);
        if (parsed.value().isEmpty()) {
            throw new Refusal("with these answers no bench file can be made:\n" + NightOptions.text(parsed.problems()));
        }
        try {
            Files.write(file, source.bytes(), StandardOpenOption.CREATE_NEW);
        } catch (FileAlreadyExistsException e) {
            throw new Refusal(file + " is there already; name another file, so that nothing is lost", e);
        }
        out.println("bench file " + file + " written; next:");
        out.println("  compare ask, set and match in it with the manual of each device");
        out.println("  plateau bench check " + file);
        out.flush();
        return Main.DONE;
    }

    private NewBenchFile answers() throws IOException {
        String benchName = answer(name, "What is the bench called?", "bench", t -> !t.isBlank());
        List<Found> found = controller == null || identity == null || (meter != null && !meter.equals("none"))
                ? search()
                : List.of();
        NewBenchFile.Instrument driver = controller(found);
        String meterPort = meter(found, driver.port());
        int count = Integer.parseInt(answer(
                fans == null ? null : fans.toString(),
                "How many fans have a tachometer of their own?",
                "1",
                t -> t.matches("[1-" + MOST_FANS + "]")));
        List<String> sensors = ComputerDevice.temperatureSensors();
        String sensor = answer(
                cpu,
                "Which sensor is the processor's temperature" + (sensors.isEmpty() ? "" : " of " + sensors)
                        + "? (none)",
                "none",
                t -> !t.isBlank());
        String command = answer(workload, "Which command makes heat? (none)", "none", t -> !t.isBlank());
        return new NewBenchFile(
                benchName,
                driver,
                count,
                meterPort.equals("none")
                        ? Optional.empty()
                        : Optional.of(
                                instrument(meterPort, asked(meterPort, found), Optional.empty(), Optional.empty())),
                sensor.equals("none") ? Optional.empty() : Optional.of(sensor),
                command.equals("none") ? List.of() : List.of(command.strip().split(" +")),
                supply);
    }

    private List<Found> search() {
        List<PortSearch.Port> ports = new ArrayList<>(PortSearch.ports());
        for (String named : new String[] {controller, meter}) {
            if (named != null
                    && !named.equals("none")
                    && ports.stream().noneMatch(p -> p.path().equals(named))) {
                ports.add(new PortSearch.Port(named, ""));
            }
        }
        if (controller != null) {
            ports.removeIf(p -> !p.path().equals(controller) && !p.path().equals(meter));
        }
        if (!ports.isEmpty()) {
            out.println("asking " + ports.size() + (ports.size() == 1 ? " port" : " ports") + " who is there");
            out.flush();
        }
        return PortSearch.ask(ports, PortSearch.COMMON_BAUDS);
    }

    /** What was found, and what a port that was named only now answers. */
    private List<Found> asked(String port, List<Found> found) {
        if (identity != null || found.stream().anyMatch(f -> f.port().path().equals(port))) {
            return found;
        }
        List<Found> all = new ArrayList<>(found);
        all.addAll(PortSearch.ask(List.of(new PortSearch.Port(port, "")), PortSearch.COMMON_BAUDS));
        return all;
    }

    private NewBenchFile.Instrument controller(List<Found> found) throws IOException {
        found.forEach(
                f -> out.println("  " + f.port().path() + "  " + (f.answer().isEmpty() ? f.detail() : f.answer())));
        Optional<String> first = found.stream()
                .filter(Found::speaksScpi)
                .findFirst()
                .or(() -> found.stream().findFirst())
                .map(f -> f.port().path());
        String port = answer(
                controller,
                "On which port is the fan controller?",
                first.orElse("/dev/serial/by-id/controller"),
                t -> !t.isBlank());
        return instrument(port, asked(port, found), Optional.ofNullable(baud), Optional.ofNullable(identity));
    }

    private String meter(List<Found> found, String controllerPort) throws IOException {
        Optional<String> other = found.stream()
                .map(f -> f.port().path())
                .filter(p -> !p.equals(controllerPort))
                .findFirst();
        return other.isEmpty() && meter == null
                ? "none"
                : answer(meter, "On which port is the sound level meter? (none)", "none", t -> !t.isBlank());
    }

    /** What is known of a port; where nothing answered, the usual. */
    private static NewBenchFile.Instrument instrument(
            String port, List<Found> found, Optional<Integer> baud, Optional<String> identity) {
        Optional<Found> answered = found.stream()
                .filter(f -> f.port().path().equals(port) && f.state() == PortSearch.State.ANSWERS)
                .findFirst();
        String is = identity.or(() -> answered.filter(Found::speaksScpi).map(Found::answer))
                .orElse("");
        return new NewBenchFile.Instrument(
                port,
                baud.or(() -> answered.map(Found::baud)).orElse(USUAL_BAUD),
                answered.map(Found::lineEnd).orElse("lf"),
                is.split(",", -1).length == 4,
                is);
    }

    /** An option, or what a person answers, or else the usual answer. */
    private String answer(String option, String question, String usual, Predicate<String> fits) throws IOException {
        if (option != null) {
            if (!fits.test(option)) {
                throw new Refusal("\"" + option + "\" is no answer to: " + question);
            }
            return option;
        }
        while (person.isPresent()) {
            out.print(question + " [" + usual + "] ");
            out.flush();
            String line = person.get().readLine();
            if (line == null || line.isBlank()) {
                return usual;
            }
            if (fits.test(line.strip())) {
                return line.strip();
            }
        }
        return usual;
    }
}
