import "./tokens.css";
import "./base.css";
import "./working.css";
import "./sitting.css";
import "./pad.css";
import "./print.css";
