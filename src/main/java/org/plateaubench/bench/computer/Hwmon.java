package org.plateaubench.bench.computer;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import java.util.stream.StreamSupport;
import org.plateaubench.bench.BenchException;
import org.plateaubench.sample.Quality;
import org.plateaubench.units.Dimension;

/**
 * Sensors of the kernel's hardware monitoring, as its document {@code hwmon/sysfs-interface.rst} describes them. The
 * numbers in {@code hwmonN} change at boot and when a chip comes or goes, so a sensor is named by its chip and its label,
 * "coretemp/Package id 0". Where several chips have the same name, any part of the device's path that only one of them
 * has tells them apart: "nvme@0000:01:00.0/Composite". A sensor without a label is named by the stem of its file, which
 * the driver fixes: "acpitz/temp1".
 */
final class Hwmon {

    private static final int NEAREST = 5;

    private final Path classFolder;

    /**
     * The sensors of a computer.
     *
     * @param root root of the file system, "/" but for tests
     */
    Hwmon(Path root) {
        this.classFolder = root.resolve("sys/class/hwmon");
    }

    /** What a sensor measures. */
    private enum Kind {
        /** Millidegrees Celsius. */
        TEMPERATURE(Dimension.TEMPERATURE, "temp", List.of("_input"), 1e3),
        /** Revolutions a minute. */
        SPEED(Dimension.ROTATIONAL_SPEED, "fan", List.of("_input"), 1),
        /** Millivolts. */
        VOLTAGE(Dimension.VOLTAGE, "in", List.of("_input"), 1e3),
        /** Microwatts. */
        POWER(Dimension.POWER, "power", List.of("_input", "_average"), 1e6);

        private final Dimension dimension;
        private final String prefix;
        private final List<String> suffixes;
        private final double countsPerUnit;

        Kind(Dimension dimension, String prefix, List<String> suffixes, double countsPerUnit) {
            this.dimension = dimension;
            this.prefix = prefix;
            this.suffixes = suffixes;
            this.countsPerUnit = countsPerUnit;
        }

        private static Kind of(Dimension dimension) throws BenchException {
            for (Kind kind : values()) {
                if (kind.dimension == dimension) {
                    return kind;
                }
            }
            throw new BenchException(
                    "a computer's sensors measure °C, rpm, V and W; there is none for " + dimension.noun(), null);
        }
    }

    /**
     * A sensor where it is now.
     *
     * @param chip name of its chip
     * @param folder the chip's folder, links resolved, so that its path says which device it belongs to
     * @param parts parts of the device's path
     * @param stem such as "temp1"
     * @param label its label; empty if it has none
     * @param suffix of the file that holds its value
     */
    private record Sensor(String chip, Path folder, List<String> parts, String stem, String label, String suffix) {

        private String lastName() {
            return label.isEmpty() ? stem : label;
        }

        private String name() {
            return chip + "/" + lastName();
        }

        /** False once another chip or sensor has taken its place. */
        private boolean isInPlace() {
            return KernelFiles.textOrEmpty(folder.resolve("name")).equals(chip)
                    && KernelFiles.textOrEmpty(folder.resolve(stem + "_label")).equals(label);
        }

        private Path valueFile() {
            return folder.resolve(stem + suffix);
        }

        private boolean isFaulty() {
            return KernelFiles.textOrEmpty(folder.resolve(stem + "_fault")).equals("1");
        }
    }

    /**
     * Finds a sensor. It is found again, by its name and never by its number, whenever it has moved.
     *
     * @param label chip and label, as the bench file names it
     * @param dimension what it must measure
     * @return the sensor
     * @throws BenchException if it is not there, may be one of several, or may not be read; the message says what is there
     */
    Gauge gauge(String label, Dimension dimension) throws BenchException {
        Kind kind = Kind.of(dimension);
        List<Sensor> all = sensors(kind);
        List<Sensor> matching = matching(label, all);
        if (matching.isEmpty()) {
            throw new BenchException(absent(label, kind, all), null);
        }
        if (matching.size() > 1) {
            throw new BenchException(
                    "'" + label + "' may be any of " + matching.size() + " sensors; name one of "
                            + quoted(matching.stream().map(s -> precise(s, matching))),
                    null);
        }
        Sensor sensor = matching.get(0);
        if (!Files.isReadable(sensor.valueFile())) {
            throw new BenchException(
                    "sensor '" + label + "' is there, but this user may not read " + sensor.valueFile()
                            + "; let an administrator allow it",
                    null);
        }
        return new SensorGauge(label, kind, sensor);
    }

    private String absent(String label, Kind kind, List<Sensor> all) {
        String message = "there is no sensor '" + label + "' of " + kind.dimension.noun() + " under " + classFolder;
        if (all.isEmpty()) {
            return message + ", and no other one";
        }
        return message + "; nearest: "
                + quoted(names(all)
                        .sorted(Comparator.comparingInt((String name) -> distance(name, label))
                                .thenComparing(Comparator.naturalOrder()))
                        .limit(NEAREST));
    }

    private static Stream<String> names(List<Sensor> all) {
        return all.stream()
                .map(s -> matching(s.name(), all).size() == 1 ? s.name() : precise(s, matching(s.name(), all)))
                .distinct();
    }

    /** {@return the names of all sensors of temperature, each meaning one of them only} */
    List<String> temperatures() {
        return names(sensors(Kind.TEMPERATURE)).sorted().toList();
    }

    private static String quoted(Stream<String> names) {
        return names.map(name -> "'" + name + "'").collect(Collectors.joining(", "));
    }

    private List<Sensor> sensors(Kind kind) {
        List<Sensor> sensors = new ArrayList<>();
        for (Path entry : KernelFiles.list(classFolder, "hwmon*")) {
            try {
                addSensors(kind, entry.toRealPath(), sensors);
            } catch (IOException e) {
                // The chip went away just now.
                continue;
            }
        }
        return sensors;
    }

    private static void addSensors(Kind kind, Path folder, List<Sensor> sensors) throws IOException {
        String chip = KernelFiles.text(folder.resolve("name"));
        Path device = folder.resolve("device");
        Path place = Files.exists(device) ? device.toRealPath() : folder.getParent();
        List<String> parts = StreamSupport.stream(place.spliterator(), false)
                .map(Path::toString)
                .toList();
        for (String suffix : kind.suffixes) {
            for (Path file : KernelFiles.list(folder, kind.prefix + "[0-9]*" + suffix)) {
                String name = file.getFileName().toString();
                String stem = name.substring(0, name.length() - suffix.length());
                String label = KernelFiles.textOrEmpty(folder.resolve(stem + "_label"));
                if (sensors.stream()
                        .noneMatch(s -> s.folder().equals(folder) && s.stem().equals(stem))) {
                    sensors.add(new Sensor(chip, folder, parts, stem, label, suffix));
                }
            }
        }
    }

    /** Sensors that a name may mean: by label, or by stem where no label tells it from the others of its chip. */
    private static List<Sensor> matching(String name, List<Sensor> all) {
        int slash = name.indexOf('/');
        if (slash < 0) {
            return List.of();
        }
        String last = name.substring(slash + 1);
        String chip = name.substring(0, slash);
        int at = chip.indexOf('@');
        String part = at < 0 ? "" : chip.substring(at + 1);
        String chipName = at < 0 ? chip : chip.substring(0, at);
        return all.stream()
                .filter(s -> s.chip().equals(chipName))
                .filter(s -> part.isEmpty() || s.parts().contains(part))
                .filter(s -> s.lastName().equals(last) || s.stem().equals(last) && !labelTellsApart(s, all))
                .toList();
    }

    private static boolean labelTellsApart(Sensor sensor, List<Sensor> all) {
        return !sensor.label().isEmpty()
                && all.stream()
                                .filter(s -> s.folder().equals(sensor.folder())
                                        && s.label().equals(sensor.label()))
                                .count()
                        == 1;
    }

    /** A name that means this one of several: by a part of its device's path, or by its stem inside one chip. */
    private static String precise(Sensor sensor, List<Sensor> several) {
        return sensor.parts().stream()
                .filter(part ->
                        several.stream().filter(s -> s.parts().contains(part)).count() == 1)
                .findFirst()
                .map(part -> sensor.chip() + "@" + part + "/" + sensor.lastName())
                .orElse(sensor.chip() + "/" + sensor.stem());
    }

    /** Number of letters to insert, delete or change (Levenshtein), case ignored. */
    private static int distance(String one, String other) {
        int[] row = new int[other.length() + 1];
        for (int j = 0; j < row.length; j++) {
            row[j] = j;
        }
        for (int i = 1; i <= one.length(); i++) {
            int diagonal = row[0];
            row[0] = i;
            for (int j = 1; j < row.length; j++) {
                boolean same = Character.toLowerCase(one.charAt(i - 1)) == Character.toLowerCase(other.charAt(j - 1));
                int changed = diagonal + (same ? 0 : 1);
                diagonal = row[j];
                row[j] = Math.min(changed, Math.min(row[j], row[j - 1]) + 1);
            }
        }
        return row[other.length()];
    }

    private final class SensorGauge implements Gauge {

        private final String label;
        private final Kind kind;
        private Sensor sensor;

        private SensorGauge(String label, Kind kind, Sensor sensor) {
            this.label = label;
            this.kind = kind;
            this.sensor = sensor;
        }

        @Override
        public Indication read() {
            if (!sensor.isInPlace()) {
                List<Sensor> matching = matching(label, sensors(kind));
                // Another device's sensor of the same name is not the one that the run began with.
                if (matching.size() != 1 || !matching.get(0).parts().equals(sensor.parts())) {
                    return Indication.none(Quality.MISSING);
                }
                sensor = matching.get(0);
            }
            Indication indication = readValue();
            // Chips may have been renumbered between the look at the name and the look at the value.
            return sensor.isInPlace() ? indication : Indication.none(Quality.MISSING);
        }

        private Indication readValue() {
            if (sensor.isFaulty()) {
                return Indication.none(Quality.DEVICE_FAULT);
            }
            try {
                return Indication.of(KernelFiles.number(sensor.valueFile()) / kind.countsPerUnit);
            } catch (IOException e) {
                return Indication.none(KernelFiles.why(e));
            } catch (NumberFormatException e) {
                return Indication.none(Quality.GARBLED);
            }
        }
    }
}
