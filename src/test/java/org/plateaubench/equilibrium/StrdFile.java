package org.plateaubench.equilibrium;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** One of NIST's Statistical Reference Datasets. */
record StrdFile(String name, List<String> lines) {

    private static final Pattern PARAMETER = Pattern.compile("\\s*[bB]\\d+\\s+(?:=\\s+)?(\\S.*)");
    private static final Pattern DATA_LINES =
            Pattern.compile("\\s*Data\\s*:?\\s*\\(?:?\\s*lines\\s+(\\d+)\\s+to\\s+(\\d+).*");

    static StrdFile read(String name) {
        try (InputStream in = StrdFile.class.getResourceAsStream("/reference/nist-strd/" + name + ".dat")) {
            return new StrdFile(
                    name,
                    new String(in.readAllBytes(), StandardCharsets.UTF_8)
                            .lines()
                            .toList());
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    /** Each observation's numbers, the response first. */
    double[][] data() {
        for (String line : lines.subList(0, 12)) {
            Matcher m = DATA_LINES.matcher(line);
            if (m.matches()) {
                return lines.subList(Integer.parseInt(m.group(1)) - 1, Integer.parseInt(m.group(2))).stream()
                        .map(StrdFile::numbers)
                        .toArray(double[][]::new);
            }
        }
        throw new IllegalStateException(name + " does not say where its data are");
    }

    /** The response of each observation. */
    double[] response() {
        double[][] data = data();
        double[] y = new double[data.length];
        for (int i = 0; i < y.length; i++) {
            y[i] = data[i][0];
        }
        return y;
    }

    /** A row of numbers for each parameter: its starts, if any, its certified value and standard deviation. */
    double[][] parameters() {
        List<double[]> rows = new ArrayList<>();
        for (String line : lines.subList(28, 60)) {
            Matcher m = PARAMETER.matcher(line);
            if (m.matches()) {
                rows.add(numbers(m.group(1)));
            }
        }
        return rows.toArray(double[][]::new);
    }

    /** The last number of the line that has this label at its beginning. */
    double certified(String label) {
        for (int i = 0; i < 60; i++) {
            if (lines.get(i).strip().startsWith(label)) {
                String text = lines.get(i).replace("(exact)", "").strip();
                double[] found = numbers(text.substring(text.lastIndexOf(' ') + 1));
                return found[0];
            }
        }
        throw new IllegalStateException(name + " has no certified " + label);
    }

    private static double[] numbers(String text) {
        String[] words = text.strip().split("\\s+");
        double[] numbers = new double[words.length];
        for (int i = 0; i < words.length; i++) {
            numbers[i] = Double.parseDouble(words[i]);
        }
        return numbers;
    }

    /** Correct digits: minus the decimal logarithm of the relative error, at most so many as are certified. */
    static double correctDigits(double found, double certified, double most) {
        double error = StrictMath.abs(found - certified);
        if (error == 0.0) {
            return most;
        }
        double digits = -StrictMath.log10(certified == 0.0 ? error : error / StrictMath.abs(certified));
        return StrictMath.max(0.0, StrictMath.min(most, digits));
    }
}
