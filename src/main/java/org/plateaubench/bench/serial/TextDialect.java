package org.plateaubench.bench.serial;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.plateaubench.bench.SetResult;
import org.plateaubench.bench.serial.LineException.Kind;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;

/**
 * Instruments that answer one line to one line, whatever its wording: each question says what its answer must match.
 * One that is to have an identity is asked for it as IEEE 488.2 does; of the others, one that answers the first question
 * is taken for the right one.
 */
final class TextDialect implements Dialect {

    private static final String IDENTITY_QUESTION = "*IDN?";

    private final List<Question> questions;
    private final char decimalMark;

    /**
     * The dialect of one instrument.
     *
     * @param questions what is asked at each tick, in the order of the columns
     * @param decimalComma true if its numbers have a comma where others have a point
     */
    TextDialect(List<Question> questions, boolean decimalComma) {
        this.questions = List.copyOf(questions);
        this.decimalMark = decimalComma ? ',' : '.';
    }

    @Override
    public String identify(Exchange exchange, String wanted) throws LineException {
        if (!wanted.isEmpty()) {
            String found = exchange.ask(IDENTITY_QUESTION).trim();
            // What a boot loader says comes before the answer; asked again, it is out of the way.
            return found.equals(wanted)
                    ? found
                    : exchange.ask(IDENTITY_QUESTION).trim();
        }
        if (!questions.isEmpty()) {
            try {
                askUntilFitting(exchange, questions.get(0));
            } catch (LineException e) {
                boolean answered = e.kind() == Kind.TIMEOUT && !exchange.heard().isEmpty();
                throw answered ? unfitting(exchange, questions.get(0)) : e;
            }
        }
        return "";
    }

    private static LineException unfitting(Exchange exchange, Question question) {
        String needed = question.match()
                .map(m -> "a number where \"" + m.pattern() + "\" says")
                .orElse("a bare number; state with match where it stands");
        return new LineException(
                Kind.TIMEOUT,
                "\"" + question.text() + "\" is answered with " + exchange.heard() + ", needed is " + needed);
    }

    /** What several channels ask with the same words is asked once: each takes its own part of the answer. */
    @Override
    public List<Reading> read(Exchange exchange) throws LineException {
        Map<String, Optional<String>> answers = new HashMap<>();
        List<Reading> readings = new ArrayList<>(questions.size());
        for (Question question : questions) {
            if (!answers.containsKey(question.text())) {
                answers.put(question.text(), answer(exchange, question));
            }
            readings.add(answers.get(question.text())
                    .map(answer -> question.reading(answer, decimalMark))
                    .orElse(Reading.none(Quality.MISSING)));
        }
        return readings;
    }

    private static Optional<String> answer(Exchange exchange, Question question) throws LineException {
        try {
            return Optional.of(exchange.ask(question.text()));
        } catch (LineException e) {
            if (e.kind() != Kind.TIMEOUT) {
                throw e;
            }
            return Optional.empty();
        }
    }

    @Override
    public SetResult set(Exchange exchange, Setting setting) throws LineException {
        exchange.send(setting.command());
        if (setting.readback().isPresent()) {
            // Some instruments acknowledge the command itself with a line; it is passed over.
            return setting.compared(askUntilFitting(exchange, setting.readback().get()));
        }
        // An answer to anything shows that the command has left before it.
        identify(exchange, "");
        return setting.sent();
    }

    private Reading askUntilFitting(Exchange exchange, Question question) throws LineException {
        Reading reading = question.reading(exchange.ask(question.text()), decimalMark);
        while (reading.quality() == Quality.GARBLED) {
            reading = question.reading(exchange.listen(), decimalMark);
        }
        return reading;
    }
}
