package org.plateaubench.cli;

/** What is known of the terminal that standard output goes to. */
final class Terminal {

    private Terminal() {}

    /** {@return true if standard output is a terminal on which lines can be drawn again} */
    static boolean drawsOn() {
        String term = System.getenv().getOrDefault("TERM", "");
        return System.console() != null && isTerminal() && !term.isEmpty() && !term.equals("dumb");
    }

    /** Since Java 22 there is a console even in a pipe, and it says whether it is a terminal. */
    private static boolean isTerminal() {
        try {
            return (boolean) java.io.Console.class.getMethod("isTerminal").invoke(System.console());
        } catch (ReflectiveOperationException e) {
            return true;
        }
    }
}
