package org.plateaubench.bench.computer;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.AccessDeniedException;
import java.nio.file.DirectoryIteratorException;
import java.nio.file.DirectoryStream;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import java.util.stream.StreamSupport;
import org.plateaubench.sample.Quality;

/** Small text files of the kernel, such as those under /sys. */
final class KernelFiles {

    private KernelFiles() {}

    /**
     * {@return the text of a file, without blanks and line end around it}
     *
     * @param file the file
     * @throws IOException if it is not there, may not be read, or its driver answers with an error
     */
    static String text(Path file) throws IOException {
        return Files.readString(file, StandardCharsets.UTF_8).strip();
    }

    /** {@return the text of a file, or "" if there is none} */
    static String textOrEmpty(Path file) {
        try {
            return text(file);
        } catch (IOException e) {
            return "";
        }
    }

    /** {@return the whole number that a file holds} */
    static long number(Path file) throws IOException {
        return Long.parseLong(text(file));
    }

    /** {@return entries of a folder whose names match, in the order of their names; none if there is no such folder} */
    static List<Path> list(Path folder, String glob) {
        try (DirectoryStream<Path> entries = Files.newDirectoryStream(folder, glob);
                Stream<Path> stream = StreamSupport.stream(entries.spliterator(), false)) {
            return stream.sorted().toList();
        } catch (IOException | DirectoryIteratorException e) {
            return List.of();
        }
    }

    /** {@return why a file gave no value: it is not there or not ours, or its driver itself had none} */
    static Quality why(IOException e) {
        return e instanceof NoSuchFileException || e instanceof AccessDeniedException
                ? Quality.MISSING
                : Quality.DEVICE_FAULT;
    }
}
