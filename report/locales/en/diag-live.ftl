# Live sources and who is told: codes L.
# One sentence, no full stop. `.because` is the reason, `.help` is what to do.
# A value that is missing arrives as the word "none".

L131 = `{ $unit }` is no unit of `{ $quantity }`
    .because = a number in another unit would be read as something else
    .help = write the unit of the numbers that are sent, such as `{ $one }` or `{ $other }`
L132 = the source `{ $name }` needs either `topic` or `path`
    .because = a message comes by a broker or is posted here, and only one of both can be the source
    .help = write `broker` and `topic` for MQTT, or `path` for what is posted
L133 = `{ $key }` does not belong in this document
    .because = documents are copied, mailed and kept; a secret in them is none
    .help = write `{ $key }_file` or `{ $key }_env` with the name of the file or of the environment variable that holds it, and change the secret, for it was written here
L134 = `{ $one }` and `{ $other }` both name a secret
    .because = only one of them can be the right one
    .help = take one of the two lines out
L135 = `{ $found }` is no topic as MQTT has them
    .because = `+` stands alone between slashes, `#` alone at the end, and neither stands in a topic to publish to
    .help = write it as the broker shows it, such as `house/+/air`
L136 = there is no broker called `{ $name }`
    .because = where the messages come from is written in a table of its own
    .help = { $near ->
        [none] add a table `[broker.{ $name }]` with its `address`
       *[other] did you mean `{ $near }`?
    }
L137 = this source is posted, but nothing listens
    .because = posts are taken only where the document says so
    .help = add a table `[posts]` with `listen` and `token_file` or `token_env`
L138 = `{ $found }` is no address
    .because = a host and a port are needed
    .help = write both, such as `127.0.0.1:1883` or `broker.home:8883`
L139 = `{ $name }` and `{ $first }` are the same value of the same message
    .because = one reading would count twice
    .help = change `value` or `topic` of one of them, or take it out
L140 = `{ $found }` is no address of this machine or of its own network
    .because = readings are taken from the house's own network only
    .help = write `127.0.0.1` or this machine's own number in the house's network
L141 = posts need a token
    .because = without one anybody in the network could send readings
    .help = add `token_file` or `token_env`; the sender shows it as `Authorization: Bearer ...`
L142 = the password for `{ $name }` goes over the network in the open
    .because = the connection is not encrypted
    .help = set `tls = true` and use the broker's encrypted port, often 8883
L143 = `{ $key }` is no address that can be used
    .because = it begins with `https://` (or `http://` on this machine alone) and holds no user, password or space
    .help = correct the address; a secret stands in a file or an environment variable
L144 = `{ $found }` is no mail address
    .because = one name, an `@` and a host are needed
    .help = write it as `name@example.org`, without a display name
L145 = mail to `{ $found }` would go in the open
    .because = without encryption mail is handed to a server on this machine only
    .help = use `tls = "starttls"` or `tls = "whole"`
L146 = the secret `{ $name }` cannot be read: { $why ->
        [missing] there is no such file
        [denied] this user may not read it
        [not-set] the environment variable is not set
        [long] it is too long for a secret
        [no-line] it holds no secret of one line
        [no-text] it is no text in UTF-8
        [folder] it is a folder
       *[other] { $what }
    }
    .because = without it nobody can be listened to or told
    .help = put it where `watch.toml` says, readable for the program's own user, or correct the name there
L147 = nobody can listen at `{ $address }`: { $why ->
        [in-use] another program does already
        [denied] this user may not
        [not-here] this machine has no such address
       *[other] { $what }
    }
    .because = posts are taken there, as `[posts]` says
    .help = end the other program, or write another `listen` address under `[posts]`
L148 = a way in cannot be opened: { $what }
    .because = nothing would come by it
    .help = look at its table in `watch.toml`
