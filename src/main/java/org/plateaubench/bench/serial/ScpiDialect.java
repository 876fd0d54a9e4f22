package org.plateaubench.bench.serial;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.function.Supplier;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import org.plateaubench.bench.SetResult;
import org.plateaubench.bench.serial.LineException.Kind;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;

/**
 * Instruments after IEEE 488.2 and SCPI-1999. All questions of a tick go out as one compound query, joined by ";:" so
 * that each header counts from the root; their answers come back on one line, joined by ";".
 *
 * <p>Every other tick asks the first question once more at the end. So the answer to the tick before never has the right
 * number of parts: an instrument that has fallen one answer behind is found out at once, though all it says looks well.
 */
final class ScpiDialect implements Dialect {

    /**
     * Four fields: manufacturer, model, serial number, firmware (IEEE 488.2, clause 10.14). No comma within the first three,
     * or a long line of commas would be tried in all its partings.
     */
    private static final Pattern IDENTITY = Pattern.compile("[ -+\\x2d-~]*,[ -+\\x2d-~]*,[ -+\\x2d-~]*,[ -~]*");

    private static final Pattern NO_ERROR = Pattern.compile("[+-]?0(,.*)?");
    private static final int MOST_ERRORS = 32;

    private final List<Question> questions;
    private final String compound;
    private final String compoundAndFirst;
    private boolean firstTwice = true;
    private boolean hasErrorQueue = true;
    private boolean errorQueueAnswered;

    /**
     * The dialect of one instrument.
     *
     * @param questions what is asked at each tick, in the order of the columns
     */
    ScpiDialect(List<Question> questions) {
        this.questions = List.copyOf(questions);
        StringBuilder joined = new StringBuilder();
        questions.forEach(q -> append(joined, q));
        this.compound = joined.toString();
        questions.stream().limit(1).forEach(q -> append(joined, q));
        this.compoundAndFirst = joined.toString();
    }

    private static void append(StringBuilder joined, Question question) {
        String text = question.text();
        if (joined.length() > 0) {
            joined.append(text.startsWith("*") || text.startsWith(":") ? ";" : ";:");
        }
        joined.append(text);
    }

    @Override
    public String identify(Exchange exchange, String wanted) throws LineException {
        String found = askIdentity(exchange);
        // Another one is asked twice: a late answer or bytes in front of it must not make it another instrument.
        String identity = wanted.isEmpty() || found.equals(wanted) ? found : askIdentity(exchange);
        drainErrors(exchange);
        return identity;
    }

    private static String askIdentity(Exchange exchange) throws LineException {
        String answer = exchange.ask("*IDN?").trim();
        while (!IDENTITY.matcher(answer).matches()) {
            answer = exchange.listen().trim();
        }
        return answer;
    }

    @Override
    public List<Reading> read(Exchange exchange) throws LineException {
        if (questions.isEmpty()) {
            return List.of();
        }
        firstTwice = !firstTwice;
        String[] answers =
                exchange.ask(firstTwice ? compoundAndFirst : compound).split(";", -1);
        if (answers.length != questions.size() + (firstTwice ? 1 : 0)) {
            // Nobody knows which answer is the missing one.
            return Collections.nCopies(questions.size(), Reading.none(Quality.GARBLED));
        }
        List<Reading> readings = new ArrayList<>(answers.length);
        for (int i = 0; i < questions.size(); i++) {
            readings.add(questions.get(i).reading(answers[i]));
        }
        return readings;
    }

    @Override
    public String spoiling(Supplier<Exchange> exchanges) throws LineException {
        List<String> found = new ArrayList<>();
        for (Question question : questions) {
            String brought;
            Exchange exchange = exchanges.get();
            try {
                brought = ask(exchange, question).quality() == Quality.GARBLED ? exchange.heard() : "";
            } catch (LineException e) {
                if (e.kind() != Kind.TIMEOUT) {
                    throw e;
                }
                brought = withoutAnswer(exchanges.get()).stream().distinct().collect(Collectors.joining(" and "));
            }
            if (!brought.isEmpty()) {
                found.add("\"" + question.text() + "\" by itself brings " + brought);
            }
        }
        return String.join(", ", found);
    }

    /** What the error queue says of a question that was not answered. */
    private List<String> withoutAnswer(Exchange exchange) throws LineException {
        List<String> all = new ArrayList<>(List.of("no answer"));
        try {
            all.addAll(drainErrors(exchange));
        } catch (LineException e) {
            if (e.kind() != Kind.TIMEOUT) {
                throw e;
            }
        }
        return all;
    }

    @Override
    public SetResult set(Exchange exchange, Setting setting) throws LineException {
        if (setting.readback().isEmpty()) {
            drainErrors(exchange);
            exchange.send(setting.command());
            List<String> errors = drainErrors(exchange);
            return errors.isEmpty() ? setting.sent() : setting.notDone("", reported(errors));
        }
        exchange.send(setting.command());
        SetResult result = setting.compared(ask(exchange, setting.readback().get()));
        if (result.done()) {
            return result;
        }
        List<String> errors = drainErrors(exchange);
        return errors.isEmpty()
                ? whenComplete(exchange, setting, result)
                : setting.notDone(result.readback(), result.detail() + "; " + reported(errors));
    }

    /** Reads back again once the instrument says that all it was told is done (IEEE 488.2, clause 10.19), if it does. */
    private SetResult whenComplete(Exchange exchange, Setting setting, SetResult result) throws LineException {
        try {
            boolean complete = exchange.ask("*OPC?").trim().equals("1");
            return complete ? setting.compared(ask(exchange, setting.readback().get())) : result;
        } catch (LineException e) {
            if (e.kind() != Kind.TIMEOUT) {
                throw e;
            }
            return result;
        }
    }

    private static Reading ask(Exchange exchange, Question question) throws LineException {
        return question.reading(exchange.ask(question.text()));
    }

    private static String reported(List<String> errors) {
        return "the instrument reports " + String.join(" and ", errors);
    }

    /**
     * Empties the instrument's error queue. One that never answered this question is not asked it again.
     *
     * @return the errors, the oldest first
     */
    private List<String> drainErrors(Exchange exchange) throws LineException {
        List<String> errors = new ArrayList<>();
        while (hasErrorQueue && errors.size() < MOST_ERRORS) {
            String error;
            try {
                error = exchange.ask("SYST:ERR?").trim();
            } catch (LineException e) {
                hasErrorQueue = errorQueueAnswered;
                throw e;
            }
            errorQueueAnswered = true;
            if (NO_ERROR.matcher(error).matches()) {
                break;
            }
            errors.add(error);
        }
        return errors;
    }
}
