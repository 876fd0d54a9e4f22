package org.plateaubench.cli;

import java.io.IOException;
import java.nio.file.AccessDeniedException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.FileSystemException;
import java.nio.file.NoSuchFileException;

/** A command cannot do what was asked; its message says what was found and what is needed. Exit code 2. */
final class Refusal extends RuntimeException {

    Refusal(String message) {
        super(message);
    }

    Refusal(String message, Throwable cause) {
        super(message, cause);
    }

    /**
     * What was found where a file could not be read or written. The system's own exceptions name the file and not what is
     * wrong with it.
     *
     * @param e what was thrown
     * @return the file, where it is known, and what was found
     */
    static String why(IOException e) {
        if (e instanceof FileSystemException file && file.getReason() == null && file.getFile() != null) {
            String found = e instanceof NoSuchFileException
                    ? "there is no such file or folder"
                    : e instanceof AccessDeniedException
                            ? "this user may not do that there"
                            : e instanceof FileAlreadyExistsException ? "it is there already" : "the system refuses it";
            return file.getFile() + ": " + found;
        }
        return e.getMessage() == null ? e.toString() : e.getMessage();
    }
}
