package org.plateaubench.bench.serial;

import java.util.List;
import java.util.function.Supplier;
import org.plateaubench.bench.SetResult;
import org.plateaubench.sample.Reading;

/** How one kind of instrument is spoken to. Each call stays within the exchange's timeout. */
interface Dialect {

    /**
     * Asks who is there, and passes over everything that is no answer to that: what a boot loader sends, answers that
     * come late. Afterwards the line is in step: the next answer belongs to the next question.
     *
     * @param exchange with the instrument
     * @param wanted what it should answer; empty if that is not known
     * @return what it answered; empty if this kind of instrument has no identity, though it did answer
     * @throws LineException if nothing fitting came in time, or the line is gone
     */
    String identify(Exchange exchange, String wanted) throws LineException;

    /**
     * Asks all questions of the device once.
     *
     * @param exchange with the instrument
     * @return one reading for each of its columns
     * @throws LineException if nothing came in time, or the line is gone
     */
    List<Reading> read(Exchange exchange) throws LineException;

    /**
     * Where one question spoils the answers to all: asks each by itself, to find it.
     *
     * @param exchanges begins an exchange with the instrument
     * @return the questions that bring no number, and what they bring, in words; empty if there is none
     * @throws LineException if the line is gone
     */
    default String spoiling(Supplier<Exchange> exchanges) throws LineException {
        return "";
    }

    /**
     * Sets something and reads it back.
     *
     * @param exchange with the instrument
     * @param setting what to set
     * @return what came of it
     * @throws LineException if the line is gone, the command could not be sent, or its readback did not come in time
     */
    SetResult set(Exchange exchange, Setting setting) throws LineException;
}
