package org.plateaubench.record;

import com.fasterxml.jackson.core.JsonFactory;
import com.fasterxml.jackson.core.JsonGenerator;
import com.fasterxml.jackson.core.JsonParser;
import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.core.JsonToken;
import com.fasterxml.jackson.core.StreamReadFeature;
import com.fasterxml.jackson.core.util.DefaultIndenter;
import com.fasterxml.jackson.core.util.DefaultPrettyPrinter;
import java.io.IOException;
import java.io.StringWriter;
import java.io.UncheckedIOException;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * JSON objects (RFC 8259) as maps whose fields keep their order. Values are text, Boolean, whole numbers (Long or
 * Integer), BigDecimal, and lists and maps of these; no null and no binary floating point, whose text differs between
 * Java versions. Whole numbers are read back as Long.
 */
public final class Json {

    private static final JsonFactory FACTORY = JsonFactory.builder()
            .enable(StreamReadFeature.STRICT_DUPLICATE_DETECTION)
            .build();

    private static final DefaultIndenter LINES = new DefaultIndenter("  ", "\n");

    private Json() {}

    /**
     * Writes an object on one line without spaces.
     *
     * @param fields the object
     * @return its text, without a line end
     * @throws IllegalArgumentException if a value is of a type that has no place in a record
     */
    public static String line(Map<String, ?> fields) {
        return text(fields, false);
    }

    /**
     * Writes an object over several lines, for people to read.
     *
     * @param fields the object
     * @return its text, ending with a line feed
     * @throws IllegalArgumentException if a value is of a type that has no place in a record
     */
    public static String page(Map<String, ?> fields) {
        return text(fields, true) + "\n";
    }

    private static String text(Map<String, ?> fields, boolean page) {
        StringWriter out = new StringWriter(256);
        try (JsonGenerator generator = FACTORY.createGenerator(out)) {
            if (page) {
                generator.setPrettyPrinter(
                        new DefaultPrettyPrinter().withObjectIndenter(LINES).withArrayIndenter(LINES));
            }
            write(fields, generator);
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
        return out.toString();
    }

    private static void write(Object value, JsonGenerator out) throws IOException {
        if (value instanceof String text) {
            out.writeString(text);
        } else if (value instanceof Boolean flag) {
            out.writeBoolean(flag);
        } else if (value instanceof Long || value instanceof Integer) {
            out.writeNumber(((Number) value).longValue());
        } else if (value instanceof BigDecimal number) {
            out.writeNumber(number.toPlainString());
        } else if (value instanceof List<?> list) {
            out.writeStartArray();
            for (Object each : list) {
                write(each, out);
            }
            out.writeEndArray();
        } else if (value instanceof Map<?, ?> map) {
            out.writeStartObject();
            for (Map.Entry<?, ?> field : map.entrySet()) {
                out.writeFieldName((String) field.getKey());
                write(field.getValue(), out);
            }
            out.writeEndObject();
        } else {
            throw new IllegalArgumentException("JSON in a record holds text, Boolean, Long, Integer, BigDecimal, lists"
                    + " and maps, found "
                    + (value == null ? "null" : value.getClass().getName()));
        }
    }

    /**
     * Reads exactly one object: no field twice, no null, no number with an exponent, nothing behind it.
     *
     * @param utf8 its text
     * @return its fields, in order
     * @throws JsonFault if it is anything else
     */
    public static Map<String, Object> read(byte[] utf8) throws JsonFault {
        // A String first: bytes that are no UTF-8 then show as U+FFFD, and no other encoding is guessed.
        try (JsonParser in = FACTORY.createParser(new String(utf8, StandardCharsets.UTF_8))) {
            if (in.nextToken() != JsonToken.START_OBJECT) {
                throw new JsonFault("a JSON object is needed");
            }
            Map<String, Object> fields = object(in);
            if (in.nextToken() != null) {
                throw new JsonFault("something follows the JSON object");
            }
            return fields;
        } catch (JsonProcessingException e) {
            throw new JsonFault(e.getOriginalMessage());
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    private static Map<String, Object> object(JsonParser in) throws IOException, JsonFault {
        Map<String, Object> fields = new LinkedHashMap<>();
        while (in.nextToken() != JsonToken.END_OBJECT) {
            String name = in.currentName();
            in.nextToken();
            fields.put(name, value(in));
        }
        return fields;
    }

    private static Object value(JsonParser in) throws IOException, JsonFault {
        switch (in.currentToken()) {
            case VALUE_STRING:
                return in.getText();
            case VALUE_TRUE:
                return true;
            case VALUE_FALSE:
                return false;
            case VALUE_NUMBER_INT:
                return in.getLongValue();
            case VALUE_NUMBER_FLOAT:
                if (in.getText().indexOf('e') >= 0 || in.getText().indexOf('E') >= 0) {
                    throw new JsonFault("a number with an exponent, " + in.getText());
                }
                return in.getDecimalValue();
            case START_OBJECT:
                return object(in);
            case START_ARRAY:
                List<Object> list = new ArrayList<>();
                while (in.nextToken() != JsonToken.END_ARRAY) {
                    list.add(value(in));
                }
                return list;
            default:
                throw new JsonFault("a " + in.currentToken() + " has no place in a record");
        }
    }

    /** An object whose fields keep the order in which they are given, names and values in turn. */
    static Map<String, Object> ordered(Object... namesAndValues) {
        Map<String, Object> map = new LinkedHashMap<>();
        for (int i = 0; i < namesAndValues.length; i += 2) {
            map.put((String) namesAndValues[i], namesAndValues[i + 1]);
        }
        return map;
    }

    /** A field that must be text. */
    static String text(Map<?, ?> fields, String name) throws JsonFault {
        if (fields.get(name) instanceof String text) {
            return text;
        }
        throw new JsonFault("there is no text called \"" + name + "\"");
    }

    /** Text that is not the JSON object that was needed. */
    public static final class JsonFault extends Exception {
        JsonFault(String message) {
            super(message);
        }
    }
}
