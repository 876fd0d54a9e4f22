package org.plateaubench.audit;

import java.time.LocalDate;
import java.util.Optional;
import java.util.Set;
import org.plateaubench.record.TrustFile;

/**
 * What an audit goes by. Nothing is trusted unless the reader says so.
 *
 * @param trust whom the reader believes
 * @param head an earlier head of the ledger, kept elsewhere, that the ledger must still begin with
 * @param since leaves out records that were opened before that day (UTC)
 * @param approvedPlans SHA-256 of the plans that are approved, 64 hexadecimal digits; empty: any plan will do
 * @param threads how many records are looked at side by side; 1 or more
 * @param progress told after each record
 */
public record AuditOptions(
        TrustFile trust,
        Optional<String> head,
        Optional<LocalDate> since,
        Optional<Set<String>> approvedPlans,
        int threads,
        Progress progress) {

    /**
     * Checks the number of threads.
     *
     * @throws IllegalArgumentException if it is below 1
     */
    public AuditOptions {
        if (threads < 1) {
            throw new IllegalArgumentException("an audit needs a thread, asked for " + threads);
        }
    }

    /** Is told how far an audit is; from one thread. */
    public interface Progress {
        /**
         * A record is done.
         *
         * @param done how many are done
         * @param all how many there are
         */
        void record(int done, int all);
    }

    /**
     * Everything, on all processors, without a head.
     *
     * @param trust whom the reader believes
     * @return the options
     */
    public static AuditOptions of(TrustFile trust) {
        return new AuditOptions(
                trust,
                Optional.empty(),
                Optional.empty(),
                Optional.empty(),
                Runtime.getRuntime().availableProcessors(),
                (done, all) -> {});
    }

    /**
     * The same with an earlier head.
     *
     * @param earlierHead 64 hexadecimal digits
     * @return the options
     */
    public AuditOptions withHead(String earlierHead) {
        return new AuditOptions(trust, Optional.of(earlierHead), since, approvedPlans, threads, progress);
    }
}
