package org.plateaubench.bench.check;

/**
 * One thing that was checked.
 *
 * @param subject what: a device, channel, actuator, or part of the bench
 * @param verdict whether it may stay so
 * @param found what was found, one line
 * @param remedy what to do about it, one line; empty if nothing
 */
public record Check(String subject, Verdict verdict, String found, String remedy) {

    /** Whether something may stay as it is. */
    public enum Verdict {
        /** It is as it should be. */
        OK("ok"),
        /** It may stay so; it is worth knowing. */
        NOTE("note"),
        /** It must be put right before a night. */
        FIX("FIX");

        private final String text;

        Verdict(String text) {
            this.text = text;
        }

        /** {@return how it is written in a table} */
        public String text() {
            return text;
        }
    }

    static Check ok(String subject, String found) {
        return new Check(subject, Verdict.OK, found, "");
    }

    static Check note(String subject, String found, String remedy) {
        return new Check(subject, Verdict.NOTE, found, remedy);
    }

    static Check fix(String subject, String found, String remedy) {
        return new Check(subject, Verdict.FIX, found, remedy);
    }
}
