package org.plateaubench.cli;

import java.nio.file.Path;
import java.time.LocalDate;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;
import picocli.CommandLine.MissingParameterException;
import picocli.CommandLine.Model.ArgSpec;
import picocli.CommandLine.Model.OptionSpec;
import picocli.CommandLine.OverwrittenOptionException;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.UnmatchedArgumentException;

/** Says in words what is wrong with a command line. */
final class UsageProblem {

    private static final Map<Class<?>, String> NEEDED = Map.of(
            int.class, "a whole number",
            Integer.class, "a whole number",
            Long.class, "a whole number",
            Double.class, "a number",
            LocalDate.class, "a day, such as 2026-11-24",
            Path.class, "the path of a file or folder");

    private UsageProblem() {}

    /**
     * What was found, what is needed, and what happened to the bench.
     *
     * @param e the problem
     * @return two lines
     */
    static String text(ParameterException e) {
        String command = e.getCommandLine().getCommandSpec().qualifiedName();
        return what(e, command) + "\nNothing was sent to the bench. '" + command + " --help' says how it is called.";
    }

    private static String what(ParameterException e, String command) {
        ArgSpec argument = e.getArgSpec();
        if (e instanceof UnmatchedArgumentException unmatched) {
            return unmatched(unmatched, command);
        }
        if (e instanceof OverwrittenOptionException twice) {
            return name(twice.getOverwritten()) + " stands there more than once; once is enough";
        }
        if (e instanceof MissingParameterException missing
                && !missing.getMissing().isEmpty()) {
            return missing.getMissing().stream().map(UsageProblem::missing).collect(Collectors.joining("\n"));
        }
        if (argument != null && e.getValue() != null && NEEDED.containsKey(type(argument))) {
            return name(argument) + ": found '" + e.getValue() + "'; needs " + NEEDED.get(type(argument));
        }
        return e.getMessage();
    }

    private static String unmatched(UnmatchedArgumentException e, String command) {
        String found = e.getUnmatched().get(0);
        boolean commands = !e.getCommandLine().getSubcommands().isEmpty();
        List<String> near = e.getSuggestions();
        return "'" + found + "' is "
                + (e.isUnknownOption() ? "no option" : commands ? "no command" : "one word too many")
                + (e.isUnknownOption() || commands ? " of " : " for ") + command
                + (near.isEmpty() ? "" : "; did you mean " + String.join(" or ", near) + "?");
    }

    private static String missing(ArgSpec argument) {
        if (argument.arity().min() > 1) {
            return name(argument) + " is needed twice or more";
        }
        return argument.isOption() && !argument.required()
                ? name(argument) + " has no value behind it; needs " + argument.paramLabel()
                : (argument.isOption() ? name(argument) + " " : "") + argument.paramLabel() + " is missing";
    }

    private static Class<?> type(ArgSpec argument) {
        Class<?>[] parts = argument.auxiliaryTypes();
        return parts.length > 0 ? parts[0] : argument.type();
    }

    private static String name(ArgSpec argument) {
        return argument instanceof OptionSpec option ? option.longestName() : argument.paramLabel();
    }
}
