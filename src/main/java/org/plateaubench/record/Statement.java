package org.plateaubench.record;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;

/** What an amendment states. */
public sealed interface Statement {

    /** {@return its kind, as it stands in the name of the amendment's file} */
    String kind();

    /** {@return what it says, as JSON fields behind "kind"} */
    Map<String, Object> fields();

    /**
     * A remark.
     *
     * @param text the remark
     */
    record Note(String text) implements Statement {
        @Override
        public String kind() {
            return "note";
        }

        @Override
        public Map<String, Object> fields() {
            return Json.ordered("text", text);
        }
    }

    /**
     * A pass that is to be left out; results are shown with it and without.
     *
     * @param pass name of the pass
     * @param reason why
     */
    record SetAside(String pass, String reason) implements Statement {
        @Override
        public String kind() {
            return "set-aside";
        }

        @Override
        public Map<String, Object> fields() {
            return Json.ordered("pass", pass, "reason", reason);
        }
    }

    /**
     * The lab lead's statement on the record.
     *
     * @param text the statement
     * @param accepted findings that the signer has seen and accepts
     */
    record SignOff(String text, List<Accepted> accepted) implements Statement {

        /** Copies the list. */
        public SignOff {
            accepted = List.copyOf(accepted);
        }

        @Override
        public String kind() {
            return "sign-off";
        }

        @Override
        public Map<String, Object> fields() {
            List<Object> list = new ArrayList<>();
            accepted.forEach(each -> list.add(Json.ordered("code", each.code(), "place", each.place())));
            return Json.ordered("text", text, "accepted", list);
        }
    }

    /**
     * A finding that is accepted.
     *
     * @param code its kind, such as "SIGNER_NOT_VALID"
     * @param place its place; empty: the record as a whole
     */
    record Accepted(String code, String place) {}

    /**
     * Takes an earlier amendment back.
     *
     * @param number number of that amendment
     * @param reason why
     */
    record Withdrawal(int number, String reason) implements Statement {
        @Override
        public String kind() {
            return "withdrawal";
        }

        @Override
        public Map<String, Object> fields() {
            return Json.ordered("number", (long) number, "reason", reason);
        }
    }

    /**
     * Reads a statement.
     *
     * @throws Json.JsonFault if it is none
     */
    static Statement read(Map<?, ?> fields) throws Json.JsonFault {
        String kind = Json.text(fields, "kind");
        switch (kind) {
            case "note":
                return new Note(Json.text(fields, "text"));
            case "set-aside":
                return new SetAside(Json.text(fields, "pass"), Json.text(fields, "reason"));
            case "sign-off":
                List<Accepted> accepted = new ArrayList<>();
                if (fields.get("accepted") instanceof List<?> list) {
                    for (Object each : list) {
                        Map<?, ?> finding = each instanceof Map<?, ?> map ? map : Map.of();
                        accepted.add(new Accepted(Json.text(finding, "code"), Json.text(finding, "place")));
                    }
                }
                return new SignOff(Json.text(fields, "text"), accepted);
            case "withdrawal":
                if (fields.get("number") instanceof Long number && number > 0 && number <= Amendments.MOST) {
                    return new Withdrawal(number.intValue(), Json.text(fields, "reason"));
                }
                throw new Json.JsonFault("a withdrawal names the number of an amendment");
            default:
                throw new Json.JsonFault("no statement is called '" + kind + "'");
        }
    }
}
