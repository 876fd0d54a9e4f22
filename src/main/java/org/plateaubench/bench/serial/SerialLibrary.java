package org.plateaubench.bench.serial;

import com.fazecast.jSerialComm.SerialPort;
import com.sun.jna.Memory;
import com.sun.jna.Native;
import com.sun.jna.Platform;
import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;

/**
 * Loads the serial library once, and keeps two side effects away. By itself it extracts its native part to a place that
 * all processes share, where processes that start at once tear each other's copy; and its native part sets seven signals
 * of the process to be ignored, so that a closed terminal (SIGHUP) would go unnoticed.
 */
final class SerialLibrary {

    private static final String PATH_PROPERTY = "jSerialComm.library.path";

    private static boolean loaded;

    private SerialLibrary() {}

    /** Loads the library unless it is loaded. */
    static synchronized void load() {
        if (loaded) {
            return;
        }
        List<Path> copies = System.getProperty(PATH_PROPERTY) == null ? extractPrivately() : List.of();
        List<Memory> dispositions = Signals.save();
        try {
            SerialPort.getVersion();
            loaded = true;
        } finally {
            Signals.restore(dispositions);
            // A loaded library does not need its file, except on Windows.
            copies.forEach(SerialLibrary::deleteIfPossible);
        }
    }

    /**
     * Copies the native parts for this system into a folder of this process's own, which nobody else can write, and
     * points the library there.
     *
     * @return what was made, each folder behind what it holds; empty if the library must see for itself
     */
    private static List<Path> extractPrivately() {
        List<Path> made = new ArrayList<>();
        try {
            Path root = Files.createTempDirectory("serial-library");
            made.add(root);
            if (Platform.isLinux()) {
                extract(
                        root,
                        made,
                        "Linux",
                        "libjSerialComm.so",
                        List.of("x86_64", "x86", "armv8_64", "armv8_32", "armv7hf", "armv6hf", "armv5", "ppc64le"));
            } else if (Platform.isMac()) {
                extract(root, made, "OSX", "libjSerialComm.jnilib", List.of("aarch64", "x86_64", "x86"));
            } else if (Platform.isWindows()) {
                extract(root, made, "Windows", "jSerialComm.dll", List.of("x86_64", "x86", "aarch64", "armv7"));
            }
            System.setProperty(PATH_PROPERTY, root.toString());
        } catch (IOException e) {
            // Without a copy of its own the library extracts one itself: less safe, but it works.
            made.forEach(SerialLibrary::deleteIfPossible);
            made.clear();
        }
        return made;
    }

    private static void extract(Path root, List<Path> made, String system, String file, List<String> architectures)
            throws IOException {
        Path folder = Files.createDirectory(root.resolve(system));
        made.add(0, folder);
        for (String architecture : architectures) {
            String resource = "/" + system + "/" + architecture + "/" + file;
            try (InputStream in = SerialPort.class.getResourceAsStream(resource)) {
                if (in == null) {
                    throw new IOException("the serial library has no " + resource);
                }
                Path place = Files.createDirectory(folder.resolve(architecture));
                made.add(0, place);
                Files.copy(in, place.resolve(file));
                made.add(0, place.resolve(file));
            }
        }
    }

    private static void deleteIfPossible(Path path) {
        try {
            Files.deleteIfExists(path);
        } catch (IOException e) {
            path.toFile().deleteOnExit();
        }
    }

    /** What the process does on the signals that the library ignores, kept exactly as the system holds it. */
    private static final class Signals {

        /** HUP, CONT, TTIN, TTOU, USR1, USR2, IO; the last two-digit ones differ between the systems. */
        private static final int[] NUMBERS =
                Platform.isMac() ? new int[] {1, 19, 21, 22, 30, 31, 23} : new int[] {1, 18, 21, 22, 10, 12, 29};

        /** Larger than the system's {@code struct sigaction} anywhere. */
        private static final int ROOM = 512;

        static {
            if (!Platform.isWindows()) {
                Native.register(Signals.class, Platform.C_LIBRARY_NAME);
            }
        }

        static List<Memory> save() {
            List<Memory> saved = new ArrayList<>();
            if (!Platform.isWindows()) {
                for (int number : NUMBERS) {
                    Memory disposition = new Memory(ROOM);
                    sigaction(number, null, disposition);
                    saved.add(disposition);
                }
            }
            return saved;
        }

        static void restore(List<Memory> saved) {
            for (int i = 0; i < saved.size(); i++) {
                sigaction(NUMBERS[i], saved.get(i), null);
            }
        }

        static native int sigaction(int signal, Memory disposition, Memory before);
    }
}
