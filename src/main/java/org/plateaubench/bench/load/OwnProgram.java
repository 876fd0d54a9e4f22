package org.plateaubench.bench.load;

import java.net.URISyntaxException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;

/** Starts a class of this program in a small Java process of its own, from the same jar or class path. */
final class OwnProgram {

    private static final List<String> SMALL =
            List.of("-Xmx24m", "-Xss256k", "-XX:+UseSerialGC", "-XX:TieredStopAtLevel=1", "-XX:-UsePerfData");

    private OwnProgram() {}

    /**
     * {@return the command that runs a class}
     *
     * @param main the class, with a main method
     * @param arguments its arguments
     */
    static List<String> command(Class<?> main, List<String> arguments) {
        Path home;
        try {
            home = Path.of(
                    main.getProtectionDomain().getCodeSource().getLocation().toURI());
        } catch (URISyntaxException e) {
            throw new IllegalStateException("this program does not know where its own classes are", e);
        }
        List<String> command = new ArrayList<>();
        command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
        command.addAll(SMALL);
        command.addAll(List.of("-cp", home.toString(), main.getName()));
        command.addAll(arguments);
        return List.copyOf(command);
    }
}
