// One backup of a database with odd rows and photos: how it is taken, how it comes back, and what it is made of.
import "./backup/take.ts";
import "./backup/restore.ts";
import "./backup/frames-and-copies.ts";
