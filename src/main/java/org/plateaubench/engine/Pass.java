package org.plateaubench.engine;

/**
 * One execution of something that is repeated when it was spoiled, planned or under way.
 *
 * @param place where it stands in the plan, such as "2.1" (second block, first place) or "level.3"
 * @param attempt how often it was begun, this time included, from 1
 * @param setpoint what it is done at, as text, such as "700 rpm"
 */
record Pass(String place, int attempt, String setpoint) {

    /** How often a pass may be begun before it is given up: once, and repeated at most twice. */
    static final int MOST_ATTEMPTS = 3;

    /** {@return its name in samples and journal, such as "2.1/1": place, first attempt} */
    String name() {
        return place + "/" + attempt;
    }

    /**
     * Journals that it is spoiled, and that it is given up if it was begun too often.
     *
     * @return true if it must be begun again
     */
    boolean spoiled(String reason, Course course) {
        course.decide(Decision.of("pass-spoiled")
                .with("pass", name())
                .with("step", setpoint)
                .with("reason", reason)
                .with("tick", course.tick()));
        boolean again = attempt < MOST_ATTEMPTS;
        if (!again) {
            course.decide(Decision.of("pass-given-up").with("pass", name()).with("step", setpoint));
        }
        return again;
    }
}
