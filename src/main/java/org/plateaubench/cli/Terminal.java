package org.plateaubench.cli;

import java.io.File;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.Map;
import java.util.concurrent.TimeUnit;

/**
 * What is known of the terminal that standard output goes to.
 *
 * @param drawsOn true if it is one on which lines can be drawn again
 * @param columns its width; what is longer is cut
 * @param styled true if parts may stand out
 */
record Terminal(boolean drawsOn, int columns, boolean styled) {

    private static final int USUAL_COLUMNS = 80;
    private static final int FEWEST_COLUMNS = 20;
    private static final long ANSWER_MILLIS = 500;

    /** No terminal: a pipe or a file. */
    static final Terminal NONE = new Terminal(false, USUAL_COLUMNS, false);

    /** {@return the terminal of this process; asked for its width once} */
    static Terminal ofThisProcess() {
        boolean is = System.console() != null && isTerminal();
        return is ? of(System.getenv(), stty()) : NONE;
    }

    /**
     * A terminal by what it says of itself.
     *
     * @param environment TERM and NO_COLOR (no-color.org) count
     * @param size rows and columns as stty prints them; empty if it did not
     * @return what is known
     */
    static Terminal of(Map<String, String> environment, String size) {
        String term = environment.getOrDefault("TERM", "");
        boolean draws = !term.isEmpty() && !term.equals("dumb");
        String[] words = size.strip().split(" ");
        int columns = words.length == 2 && words[1].matches("[0-9]{1,4}") ? Integer.parseInt(words[1]) : 0;
        boolean noColor = !environment.getOrDefault("NO_COLOR", "").isEmpty();
        return new Terminal(draws, columns == 0 ? USUAL_COLUMNS : Math.max(columns, FEWEST_COLUMNS), draws && !noColor);
    }

    /** The text so that it stands out, where that is wanted. */
    String strong(String text) {
        return styled ? "\u001b[1m" + text + "\u001b[0m" : text;
    }

    /** Since Java 22 there is a console even in a pipe, and it says whether it is a terminal. */
    private static boolean isTerminal() {
        try {
            return (boolean) java.io.Console.class.getMethod("isTerminal").invoke(System.console());
        } catch (ReflectiveOperationException e) {
            return true;
        }
    }

    private static String stty() {
        try {
            Process process = new ProcessBuilder("stty", "size")
                    .redirectInput(new File("/dev/tty"))
                    .redirectError(ProcessBuilder.Redirect.DISCARD)
                    .start();
            if (!process.waitFor(ANSWER_MILLIS, TimeUnit.MILLISECONDS)) {
                process.destroyForcibly();
                return "";
            }
            return new String(process.getInputStream().readAllBytes(), StandardCharsets.US_ASCII);
        } catch (IOException e) {
            return "";
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            return "";
        }
    }
}
